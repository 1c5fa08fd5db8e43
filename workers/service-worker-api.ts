/** Sent by the page to a new version that waits: it may take over. A type alone: the worker stays one file. */
export type SkipWaitingMessage = 'skip-waiting';
