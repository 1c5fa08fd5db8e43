# Reading a mesh with VTK (Debian: python3-vtk9), for `npm run race`: prints milliseconds, points and triangles as JSON.
#
#   load-with-vtk.py stl|ply FILE      stl: merged points and a static cell locator over the cells; ply: parsing alone
import json
import sys
import time

import vtk

kind, path = sys.argv[1], sys.argv[2]
start = time.perf_counter()
if kind == "stl":
    reader = vtk.vtkSTLReader()
    reader.MergingOn()
else:
    reader = vtk.vtkPLYReader()
reader.SetFileName(path)
reader.Update()
mesh = reader.GetOutput()
if kind == "stl":
    locator = vtk.vtkStaticCellLocator()
    locator.SetDataSet(mesh)
    locator.BuildLocator()
milliseconds = 1000 * (time.perf_counter() - start)
print(json.dumps({"ms": milliseconds, "points": mesh.GetNumberOfPoints(), "triangles": mesh.GetNumberOfCells()}))
