/** quadprog 1.6 ships no types. Dual method of Goldfarb and Idnani (1983); every array is 1-indexed. */
declare module 'quadprog' {
  export interface QuadraticProgramAnswer {
    /** Index 0 is empty. */
    readonly solution: number[];
    /** Multipliers, one per constraint; those of equalities come without their sign. */
    readonly Lagrangian: number[];
    readonly value: number[];
    /** The active constraints, numbered from 1; 0 behind the last. */
    readonly iact: number[];
    /** Empty when solved. */
    readonly message: string;
  }

  /**
   * Minimises 1/2 b'Db - d'b subject to A'b >= b0; the first `meq` constraints are equalities.
   * D, d, A and b0 are overwritten.
   */
  export function solveQP(
    dMatrix: number[][],
    dVector: number[],
    aMatrix: number[][],
    bVector: number[],
    meq?: number,
  ): QuadraticProgramAnswer;
}
