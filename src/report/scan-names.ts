/** A scan of an arch as it is named. */
export interface NamedScan {
  readonly fileName: string;
  /** `YYYY-MM-DD`, or null when nobody said it. */
  readonly scannedOn: string | null;
}

/**
 * Names by which the scans of one arch can be told apart, oldest first: the file's name; where scanners gave several
 * files the same one, with its day, `scan.ply of 2026-01-05`, or where that says nothing, with its place,
 * `scan.ply (earlier scan)`.
 */
export function scanNames(scans: readonly NamedScan[]): string[] {
  return scans.map((scan, place) => {
    const { fileName, scannedOn } = scan;
    const others = scans.filter((other) => other !== scan && other.fileName === fileName);
    if (others.length === 0) return fileName;
    return scannedOn !== null && others.every((other) => other.scannedOn !== scannedOn)
      ? `${fileName} of ${scannedOn}`
      : `${fileName} (${placeWords(place, scans.length)})`;
  });
}

function placeWords(place: number, count: number): string {
  if (count === 2) return place === 0 ? 'earlier scan' : 'new scan';
  return `scan ${place + 1} of ${count}`;
}

/** The same in short, for a row of scans in the course of time: the day where it says which one, else the name. */
export function scanDays(scans: readonly NamedScan[]): string[] {
  const names = scanNames(scans);
  const days = scans.map(({ scannedOn }) => scannedOn);
  return days.map((day, place) =>
    day !== null && days.indexOf(day) === days.lastIndexOf(day) ? day : names[place]!,
  );
}
