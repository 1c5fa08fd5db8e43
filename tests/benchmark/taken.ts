/** Times of one piece of work, ms. */
export interface Timing {
  readonly name: string;
  /** The very first run: what a user meets whose engine has not compiled the code yet. */
  readonly firstMs: number;
  readonly medianMs: number;
  readonly leastMs: number;
  readonly mostMs: number;
  /** Median processor time, all threads of the process: what remains comparable on a machine with other work. */
  readonly cpuMs: number;
  readonly runs: number;
}

/** One run, ms. */
export interface Taken {
  readonly wall: number;
  /** Processor time of all threads. */
  readonly cpu: number;
}

export async function take(work: () => unknown): Promise<Taken> {
  const before = process.cpuUsage();
  const start = performance.now();
  await work();
  const wall = performance.now() - start;
  const { user, system } = process.cpuUsage(before);
  return { wall, cpu: (user + system) / 1000 };
}

export function summary(name: string, taken: readonly Taken[]): Timing {
  const wall = taken.map((one) => one.wall).toSorted((a, b) => a - b);
  const cpu = taken.map((one) => one.cpu).toSorted((a, b) => a - b);
  return {
    name,
    firstMs: taken[0]!.wall,
    medianMs: wall[wall.length >> 1]!,
    leastMs: wall[0]!,
    mostMs: wall.at(-1)!,
    cpuMs: cpu[cpu.length >> 1]!,
    runs: taken.length,
  };
}

const MARK = 'own use: ';

/**
 * For `node --import`: the process tells its highest memory and processor time when it ends; see {@link readUse}.
 * The memory is `VmHWM` of proc(5): that of getrusage(2) begins with what the parent had when it forked.
 */
export const TELLER =
  'data:text/javascript,import{readFileSync}from"node:fs";process.on("exit",()=>{const u=process.resourceUsage();' +
  'const kB=/VmHWM:\\s*(\\d+)/.exec(readFileSync("/proc/self/status","utf8"))[1];' +
  `console.error("${MARK}"+JSON.stringify([+kB,u.userCPUTime,u.systemCPUTime]))})`;

/** What a process used from its start to its end. */
interface Use {
  /** Highest resident memory, MB of 2^20 bytes. */
  readonly mb: number;
  /** Processor time of all its threads, ms: in the program, in the system for it, and both. */
  readonly user: number;
  readonly system: number;
  readonly cpu: number;
}

/**
 * What a process with {@link TELLER} told.
 * @param stderr - all it wrote there
 */
export function readUse(stderr: string): Use {
  const told = stderr.split(MARK)[1];
  if (told === undefined) throw new Error(`The process did not tell its use: ${stderr}`);
  const [kB, user, system] = JSON.parse(told) as [number, number, number];
  return { mb: kB / 1024, user: user / 1000, system: system / 1000, cpu: (user + system) / 1000 };
}
