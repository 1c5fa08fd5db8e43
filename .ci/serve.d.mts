import type { Server } from 'node:http';

export const CONTENT_SECURITY_POLICY: string;
/** Serves a folder on loopback; port 0 takes a free one. */
export function serve(folder: string, port: number): Promise<{ server: Server; url: string }>;
/** As `serve`, moving on to a free port when the wanted one is taken. */
export function serveNear(folder: string, port: number): Promise<{ server: Server; url: string }>;
