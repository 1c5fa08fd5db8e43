/**
 * Every length, weight and threshold of the contact measurement, in one place. Where no publication is named, the
 * value comes from trials on synthetic scans with known spaces (docs/method.md) and has not been checked on a real
 * scan with known spaces, as none was at hand.
 */

/** A wall faces its neighbour where the cosine between its normal and the closing direction exceeds this. */
export const FACING_COSINE = 0.5;

/** Nearer to the gum line than this the surface is the rounded crease, not the wall, mm. */
export const GUM_MARGIN_MM = 0.4;
/** A foot point nearer than this to gum or to the edge of the scan is a bound, not a measurement, mm. */
export const FOOT_GUM_MM = 0.3;
export const FOOT_CUT_MM = 0.15;
/**
 * The scan is torn between two teeth where at least so many open edges of one lie within this of open edges of the
 * other, mm, that run against them (cosine).
 */
export const LEAST_TORN_EDGES = 8;
export const TORN_REACH_MM = 0.05;
export const TORN_COSINE = -0.9;
/** Room the foot must keep inside the margin at each level of the fit, mm. */
export const FOOT_MARGIN_SLACK_MM = 0.05;
/** Feet this close to the gum margin of the first level ask for more of the wall, mm. */
export const NEAR_MARGIN_MM = 0.2;
/** Distances to gum, cut and web are not followed farther than this, mm. */
export const BORDER_REACH_MM = 0.8;

/** A border of two teeth is a web's ridge where its normal is this far from the closing direction (cosine). */
export const RIDGE_COSINE = 0.6;
/** Fewer ridge edges than this are stray, unless more of the border hangs on to them. */
export const LEAST_RIDGE_EDGES = 3;
/** A web at least this long or high hides the contact, mm. */
export const FULL_BRIDGE_MM = 1.1;
/**
 * A common border of two labels runs over the papilla, not over a web, when it is nowhere farther than the first from
 * the gum line, or when both its ends come within the second of the gum line and it rises no more than the third
 * between them, mm. Low webs of molars look the same: such a border is doubtful.
 */
export const PAPILLA_REACH_MM = 0.8;
export const PAPILLA_END_MM = 0.5;
export const PAPILLA_RISE_MM = 0.9;
/** Ridge edges nearer to each other than this belong to one piece of border, mm. */
export const RIDGE_LINK_MM = 0.5;
/** A border that leaves the ridge for a wall comes back within this, or it is another border, mm. */
export const STRAYED_MM = 1.5;
/**
 * Beside a true web both walls face each other: this share of its ridge points must have a facing wall of either tooth
 * within reach (mm, on coarse meshes edges). True webs show 0.83 and more, labels that cut across a crown 0.45 and less.
 */
export const FLANKED_SHARE = 0.65;
export const FLANK_REACH_MM = 0.8;
export const FLANK_REACH_EDGES = 4;
/** A partly bridged contact is measured this far from the web; its foot must keep the second distance, mm. */
export const WEB_MARGIN_MM = 0.35;
export const WEB_FOOT_MM = 0.3;

/** The rim of a web for the upper bound: facing, distance from web and gum (mm), allowance for noise (mm). */
export const RIM_FACING_COSINE = 0.6;
export const RIM_WEB_MM = 0.35;
/** A web lower than this may be labels that met over the papilla: its rim is looked at this far off, mm. */
export const LOW_WEB_HEIGHT_MM = 0.6;
export const LOW_WEB_RIM_MM = 0.7;
/** The extreme over two noisy walls is never taken for less than this many of their combined standard deviations. */
export const RIM_NOISE_SIGMAS = 3;
/** Window in which the noise at the rim is read, mm. */
export const RIM_WINDOW_MM = 0.8;
/** On coarse meshes the rounding beside a web reaches farther: margins from it are at least this many edges, up to the second. */
export const WEB_MARGIN_EDGES = 1.25;
export const WEB_MARGIN_MOST_MM = 0.4;
export const RIM_GUM_MM = 0.3;
export const RIM_NOISE_MM = 0.03;
/** No scanner of seven bridged a space of 0.5 mm or more (J Prosthet Dent, PubMed 41318337): no more can hide. */
export const NO_BRIDGE_GAP_MM = 0.5;

/** Window of the fit: four edges, but within these, mm. */
export const WINDOW_EDGES = 4;
export const WINDOW_LEAST_MM = 1.0;
export const WINDOW_MOST_MM = 1.6;
/** Fewest points of a wall in the window: four more than the quartic has terms. */
export const LEAST_WINDOW_POINTS = 19;
/**
 * How much the cubic (1/mm^2) and quartic (1/mm^3) coefficients of a wall's height vary from wall to wall, standard
 * deviations. Twice what quartics fitted to the proximal walls of one person's real incisors show, the most uneven of 52
 * walls (0.18 and 0.21; all teeth 0.1 and 0.13), so that it only holds fits which their points leave open.
 */
export const WALL_CHANGE: readonly [number, number] = [0.4, 0.4];
/**
 * What Tukey's weights w(r) at their cut do to normal errors of variance 1: E[w r^2] / E[w], the share of the variance
 * that the weighted residuals show; and E[w^2 r^2] E[w]^2 / (E[w r^2]^2 E[w^2]), by which the covariance of the
 * M-estimator exceeds that of a least-squares fit with fixed weights. Recomputed by quadrature in a test.
 */
export const TUKEY_VARIANCE_SHARE = 0.82807;
export const TUKEY_COVARIANCE_FACTOR = 1.03718;
/** Residuals below this belong to exact data: no robust weights, no correlation are formed from them, mm. */
export const EXACT_MM = 1e-9;
/** A fitted space this far below the nearest points of the walls is made up by the polynomial, mm. */
export const UNSUPPORTED_MM = 0.03;
/** A foot beyond this share of the window is at its edge. */
export const FOOT_WINDOW_SHARE = 0.98;
/** A level of the fit is refused when its fit or model uncertainty exceeds this, mm. */
export const MOST_LEVEL_UNCERTAINTY_MM = 0.03;
/** Residuals above this are no tooth surface of a usable scan, mm. */
export const MOST_RESIDUAL_MM = 0.04;
/** Longer edges are refused: errors over 60 um went unnoticed there, mm. */
export const MOST_EDGE_MM = 0.35;
/** A coarse scan may still show a plainly large space: this many edges above the limit. */
export const PLAIN_OPEN_EDGES = 5;
/** Truncation of the quartic over a window of 1 mm, mm; grows with the square of the window. Quadric: the second. */
export const QUARTIC_TRUNCATION_MM = 0.003;
export const QUADRIC_TRUNCATION_MM = 0.008;
/** Least curvature of the distance used for the bias correction, 1/mm. */
export const LEAST_HESSIAN_PER_MM = 0.08;

/**
 * Below the place measured: the band next to the gum in which the walls are followed (mm from the gum line, two
 * margins), the window of the fit there, and how far under the gum their trend is carried on, mm.
 */
export const TREND_BANDS_MM: readonly (readonly [number, number])[] = [
  [0.4, 0.79],
  [0.25, 0.6],
];
export const TREND_WINDOW_MM = 1;
export const TREND_AHEAD_MM = 0.3;
/** Closing in by more than U, or by more than this, is no longer the noise of that trend, mm. */
export const TREND_LEAST_MM = 0.035;
/**
 * Where that trend leaves no more than this beyond the measured space, a narrower place may lie under the gum with
 * nothing on the scan to tell: standard uncertainty, fading to nothing over the third, mm. Of 13 such spaces in invented
 * mouths two had one, narrower by 43 and 23 um, so that the root mean square was 13 um; taken a half larger, as 13 are few.
 */
export const UNDER_GUM_WITHIN_MM = 0.04;
export const UNDER_GUM_STANDARD_MM = 0.02;
export const UNDER_GUM_FADE_MM = 0.02;
/** The slope of the trend is read over this height, and its least distance within this to either side, mm. */
export const TREND_STEP_MM = 0.4;
export const TREND_ASIDE_MM = 0.6;
/**
 * Beside a spike: this many points nearer than the fitted walls by so many standard deviations, over more than a speck
 * (mm), are surface that the fit passed over.
 */
export const LEAST_SURFACE_POINTS = 6;
export const SURFACE_SIGMAS = 3;
export const SPECK_MM = 0.3;

/** The closing clearance differs from the space by more than its noise above this angle; noted. */
export const NOTED_ANGLE_RAD = (15 * Math.PI) / 180;
/** Grid for the closing clearance, mm, inside this share of the window. */
export const CLEARANCE_GRID_MM = 0.05;
export const CLEARANCE_WINDOW_SHARE = 0.8;

/** Separate pieces of gum label smaller than this are specks on a tooth, mm^2. */
export const LEAST_GUM_PIECE_MM2 = 1;

/** Proximal walls curve no sharper than this where they are nearest, mm: bounds what flat facets cut off. */
export const FACETED_RADIUS_MM = 2;

/** The mesh comes nearer than the fitted walls by more than noise explains: a speck or thread in the space; noted. */
export const SPIKE_MM = 0.05;
export const SPIKE_SIGMAS = 5;
