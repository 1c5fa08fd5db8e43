// Smallest distance of two triangle meshes (binary STL), as CGAL finds it; prints millimetres and, after them, the
// milliseconds that trees and queries took (reading the files not among them).
//
// Bound: an AABB tree over each mesh and the vertices of the other (every STRIDE-th; 1 when left out) give a distance
// that is reached, and so no smaller than the one looked for.
// Then every pair of triangles whose boxes come within that bound is asked for its exact distance with
// CGAL::squared_distance in double precision, edge against edge included. Nothing of Archgap is used.
//
// g++ -O2 -std=c++17 mesh-distance.cpp -o mesh-distance -lgmp -lmpfr

#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/AABB_triangle_primitive.h>
#include <CGAL/Simple_cartesian.h>
#include <CGAL/box_intersection_d.h>
#include <CGAL/squared_distance_3.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <iostream>
#include <iterator>
#include <limits>
#include <vector>

using Kernel = CGAL::Simple_cartesian<double>;
using Point = Kernel::Point_3;
using Segment = Kernel::Segment_3;
using Triangle = Kernel::Triangle_3;
using Triangles = std::vector<Triangle>;
using Primitive = CGAL::AABB_triangle_primitive<Kernel, Triangles::const_iterator>;
using Tree = CGAL::AABB_tree<CGAL::AABB_traits<Kernel, Primitive>>;
using Box = CGAL::Box_intersection_d::Box_with_handle_d<double, 3, Triangles::const_iterator>;

static Triangles read_stl(const char* path) {
  std::ifstream in(path, std::ios::binary);
  std::vector<char> bytes((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
  std::uint32_t count = 0;
  if (bytes.size() >= 84) std::memcpy(&count, bytes.data() + 80, 4);
  if (bytes.size() != 84 + std::size_t(50) * count || count == 0) {
    std::cerr << path << ": no binary STL\n";
    std::exit(3);
  }
  Triangles triangles;
  for (std::uint32_t i = 0; i < count; ++i) {
    float f[12];
    std::memcpy(f, bytes.data() + 84 + std::size_t(50) * i, sizeof f);
    const Triangle t(Point(f[3], f[4], f[5]), Point(f[6], f[7], f[8]), Point(f[9], f[10], f[11]));
    if (!t.is_degenerate()) triangles.push_back(t);
  }
  return triangles;
}

static double bound(const Triangles& a, const Triangles& b, std::size_t stride) {
  const Tree tree(b.begin(), b.end());
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < a.size(); i += stride)
    for (int k = 0; k < 3; ++k) least = std::min(least, tree.squared_distance(a[i].vertex(k)));
  return least;
}

// Two triangles that do not meet are nearest at a corner of one or at an edge of each.
static double pair_distance(const Triangle& s, const Triangle& t) {
  if (CGAL::do_intersect(s, t)) return 0;
  double least = std::numeric_limits<double>::infinity();
  for (int i = 0; i < 3; ++i) {
    least = std::min(least, CGAL::squared_distance(s.vertex(i), t));
    least = std::min(least, CGAL::squared_distance(t.vertex(i), s));
    const Segment edge(s.vertex(i), s.vertex(i + 1));
    for (int k = 0; k < 3; ++k)
      least = std::min(least, CGAL::squared_distance(edge, Segment(t.vertex(k), t.vertex(k + 1))));
  }
  return least;
}

int main(int argc, char** argv) {
  if (argc != 3 && argc != 4) {
    std::cerr << "mesh-distance A.stl B.stl [STRIDE]\n";
    return 2;
  }
  const std::size_t stride = argc == 4 ? std::max(1, std::atoi(argv[3])) : 1;
  const Triangles a = read_stl(argv[1]);
  const Triangles b = read_stl(argv[2]);
  const auto start = std::chrono::steady_clock::now();
  double least = std::min(bound(a, b, stride), bound(b, a, stride));
  const double reach = std::sqrt(least);
  std::vector<Box> boxes_a, boxes_b;
  for (auto it = a.begin(); it != a.end(); ++it) {
    const CGAL::Bbox_3 q = it->bbox();
    boxes_a.emplace_back(CGAL::Bbox_3(q.xmin() - reach, q.ymin() - reach, q.zmin() - reach, q.xmax() + reach,
                                      q.ymax() + reach, q.zmax() + reach),
                         it);
  }
  for (auto it = b.begin(); it != b.end(); ++it) boxes_b.emplace_back(it->bbox(), it);
  CGAL::box_intersection_d(boxes_a.begin(), boxes_a.end(), boxes_b.begin(), boxes_b.end(),
                           [&](const Box& s, const Box& t) {
                             least = std::min(least, pair_distance(*s.handle(), *t.handle()));
                           });
  const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
  std::printf("%.9f %.1f\n", std::sqrt(least), took.count());
}
