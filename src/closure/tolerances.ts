/** Every tolerance of the closure planner, with its reason. Lengths in mm. */

/** Motion and space below a tenth of a micrometre are arithmetic, not a finding. */
export const NUMERIC_ZERO_MM = 1e-7;

/**
 * A scaled row whose part that is new against the rows before it is shorter than this share of its length says
 * nothing new: between two fixed teeth it either agrees with the others or contradicts them.
 */
export const DEPENDENT_ROW_SHARE = 1e-9;

/** A dependent row contradicts the others when it misses by more than this. */
export const CONTRADICTION_MM = 1e-6;

/** The solution has to keep every row to this, times the largest motion where that exceeds 1 mm. */
export const ROW_RESIDUAL_MM = 1e-6;

/** A contact that grows by more than this is opened; a contact within this of its target has reached it. */
export const CONTACT_TOLERANCE_MM = 0.01;

/**
 * What a number of stages closes is known to a tenth of it at best: published shares of expression run from 0.55 to
 * 0.87 by movement (facts 7.10-7.17). The tenth is our choice, on the small side.
 */
export const STAGES_CLOSE_SHARE = 0.1;

/** 3 stages that come out as 3.0000000004 by rounding are 3. */
export const STAGE_ROUNDING = 1e-6;

/** Closest points nearer than this give no usable direction between them; the centres of the teeth do. */
export const DIRECTION_MIN_MM = 0.02;

/**
 * The closest points of two crowns may lie over each other rather than side by side. Below this cosine (60 degrees
 * out of the occlusal plane or off the line between the centres) their direction is not one that closes a space.
 */
export const DIRECTION_MIN_COSINE = 0.5;

/**
 * A tooth that has to travel more than this many times all the space that is closed is levered, not drawn. An arch
 * that is held at both ends asks for 0.6 (facts 6.3), a free span for less than 1.
 */
export const ABSURD_TRAVEL_RATIO = 2;

/** Rows are linear in the rotation; past 10 degrees they no longer describe the tooth. Radians. */
export const ABSURD_ROTATION_RAD = (10 * Math.PI) / 180;

/** Rounds of moving, measuring and correcting; smooth walls need two or three. */
export const SURFACE_ROUNDS = 8;

/**
 * Walls are measured within this distance of the contact point: wide enough for the place of contact to wander as the
 * teeth move (a turn of a degree moves it by a tenth of a millimetre).
 */
export const WALL_REACH_MM = 1.5;

/** Walls that run into each other are backed off by at most this; 12 halvings leave a quarter of a micrometre. */
export const OVERLAP_SEARCH_MM = 1;
export const OVERLAP_BISECTIONS = 12;

/** Width of the crease along the border of a tooth that is kept out of its walls, and how squarely a wall faces. */
export const CREASE_MM = 0.4;
export const FACING_COSINE = 0.5;

/** Walls are the measured ones when they show the measured smallest distance to this. */
export const SAME_WALL_MM = 0.03;

/** Two arches of one mouth that bite, or nearly do, lie nearer than this; farther off they are not in one frame. */
export const OPPOSING_FAR_MM = 10;

/** No tightening stage moves a tooth nearly this far: what lies farther off is not in the way. */
export const ROOM_SEARCH_MM = 5;

/**
 * Two arches of one frame touch where they bite and do not run into each other: a crown within the first of the opposing
 * surface meets it, one deeper in than the second cannot be. Bites that scanners register are off by 0.05 mm at least on
 * average (Kakali and Halazonetis, Korean J Orthod 2023;53:254) and by 0.17 to 0.37 mm over whole arches (five scanners,
 * J Dent Rehabil Appl Sci 2018;34(1)); a millimetre, our choice, is nearly three times the worst of it.
 */
export const BITE_TOUCH_MM = 1;
export const BITE_DEPTH_MM = 1;

/** One crown may be a fault of a scan; two are a finding. An open bite still touches at a molar on either side. */
export const BITE_LEAST_TEETH = 2;

/** Fewer points inside the other arch may be crumbs of a scan. */
export const BITE_LEAST_POINTS = 3;

/** About 0.4 mm from point to point on a molar: dense against the millimetre that is asked for. */
export const BITE_POINTS_PER_TOOTH = 1000;

/** The top of a crown, where the opposing arch lies over it. */
export const BITE_TOP_MM = 1;

/** What lies farther off than this says nothing about how two arches meet; a crown is less than half as high. */
export const BITE_SEARCH_MM = 20;
