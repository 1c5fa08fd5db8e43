/** Every number of the segmentation in one place. Lengths mm, curvatures 1/mm; values from trials on real arches. */
export const SEGMENT = {
  /** Spread of the normal smoothing: rounds = spread^2 / (0.43 h^2) for mean edge h. */
  normalSpreadMm: 0.25,
  normalSpreadPerRound: 0.43,
  mostNormalRounds: 40,
  /** Above this mean edge smoothed normals hide folds: the raw ones join in. */
  coarseEdgeMm: 0.4,
  /** More faces than this are grouped into super-faces. */
  mostFacesUngrouped: 30_000,
  superFaceRadiusMm: 0.5,
  superFaceConcavityCost: 2,

  /** Weight of a border of 1 mm: `borderFloor` in a deep fold, 1 on flat or convex ground. */
  borderFloor: 0.01,
  /**
   * The same beside a web between two teeth, where the tips of gum under it would else be swallowed: a common border that
   * rises so far along the crown is a web's (1.9 mm and more on scans with known answers), labels that met over a papilla
   * rise less (0.4 mm).
   */
  webFloor: 0.003,
  webRiseMm: 1.2,
  webReachMm: 1,
  /** Concavity at which the weight falls to 1/e. */
  curvatureScale: 0.5,
  /** Fissures: concavity counts nothing within `from` of the crown's axis and fully beyond `from + over`. */
  fissureFrom: 0.4,
  fissureOver: 0.35,
  /** From this share of a crown's height down a fold may be where it meets the gum. */
  marginDepth: 0.5,
  /** Weight of the size prior against the border, per mm^2. */
  priorWeight: 0.01,
  /**
   * Power of rho in the prior: its cube where margins of the gum are as fine as the graph's nodes, so that the size of the
   * crown has to say where it ends; its square in the band of full resolution, where the fold can be seen.
   */
  priorPower: 3,
  bandPriorPower: 2,
  priorCap: 2.5,
  gumCost: 1,
  /** What gum costs more on a crown's axis; falls to nothing at `innerRho` crown radii: no gum grows inside a crown. */
  innerGumCost: 4,
  innerRho: 0.85,
  /** Cost of 1 mm of the scan's own rim to a tooth: as a border on flat ground. Shorter open lines are holes. */
  rimWeight: 1,
  leastRimMm: 40,
  /** A tooth is not looked for beyond this many crown radii. */
  windowRho: 2.3,
  startRho: 1,
  seedRho: 0.35,
  gumSeedRho: 2.2,
  clickDiskMm: 1,
  correctionDiskMm: 0.7,
  rounds: 3,
  /** Rounds of a labelling that only serves to place the frames. */
  draftRounds: 1,
  /** Most times the frames are placed anew, and the change below which they stand still. */
  reframes: 4,
  frameShiftMm: 0.25,
  frameTurnRad: 0.035,
  /** A correction may relabel what lies this near. */
  correctionReachMm: 8,
  gumIslandMm2: 6,

  /** Random walker: conductance floor and fall per 1/mm of concavity; weight, mixture and floor of its data term. */
  walkerFloor: 0.001,
  walkerConcavity: 10,
  walkerLeastStepMm: 0.01,
  walkerTolerance: 1e-4,
  walkerWeight: 0.2,
  walkerPriorShare: 1,
  walkerSurpriseScale: 3,
  walkerLeast: 1e-3,

  /** Full resolution: faces this near a border are decided again. */
  bandMm: 0.8,
  bandRounds: 2,
  /** Rings of faces around changed super-faces that are refined after a further click. */
  changedRings: 6,
  changedReachMm: 1.2,
} as const;
