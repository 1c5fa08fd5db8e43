/*
 * The browser sets up what it draws with when the first context is asked for, and whoever asks waits for it. Here nobody
 * does: the context is thrown away, what was set up stays.
 */
new OffscreenCanvas(1, 1).getContext('webgl2')?.getExtension('WEBGL_lose_context')?.loseContext();
self.close();

export {};
