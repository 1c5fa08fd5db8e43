/** Tukey's biweight: cut in robust standard deviations for 95 % efficiency (Huber, Robust Statistics, 1981). */
export const TUKEY_CUT = 4.685;
/** Median absolute deviation to standard deviation of a normal distribution. */
export const MAD_TO_SIGMA = 1.4826;
