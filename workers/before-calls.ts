import type { AnalysisApi } from './analysis-api.ts';

/** The same service, with something done before every call but the one that only asks for a sign of life. */
export function beforeCalls(service: AnalysisApi, act: () => void): AnalysisApi {
  const calls = Object.entries(service).map(([name, call]: [string, (...args: unknown[]) => unknown]) => {
    if (name === 'ping') return [name, call];
    return [
      name,
      (...args: unknown[]) => {
        act();
        return call(...args);
      },
    ];
  });
  return Object.fromEntries(calls);
}
