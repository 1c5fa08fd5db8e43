/** Whether a licence expression (SPDX) is one the project may ship. */
export function accepted(expression: string): boolean;
/** Packages of a lock file that are not for development only. */
export function shippedPackages(lock: {
  packages: Record<string, { version?: string; license?: string; dev?: boolean; devOptional?: boolean }>;
}): { path: string; name: string; version: string; licence: string }[];
/** The licences of all shipped packages in full. */
export function licenceTexts(): string;
/** Prints the counts; true when every licence is accepted. */
export function checkLicences(): boolean;
