/** The version in package.json, put in by the build. */
declare const __ARCHGAP_VERSION__: string;
