/** One import direction: geometry <- scan <- teeth <- contacts <- closure <- report <- app, cli. */
const order = ['geometry', 'scan', 'teeth', 'contacts', 'closure', 'report'];
const upward = order.map((layer, i) => ({
  name: `${layer}-imports-only-what-lies-below`,
  severity: 'error',
  from: { path: `^src/${layer}/` },
  to: { path: '^(src|workers|fixtures|tests)/', pathNot: `^src/(${order.slice(0, i + 1).join('|')})/` },
}));
module.exports = {
  forbidden: [
    ...upward,
    { name: 'no-cycles', severity: 'error', from: {}, to: { circular: true } },
    {
      name: 'core-is-free-of-the-platform',
      comment: 'Bytes and numbers in, plain data out: no fs, no DOM library, no worker bridge in the core.',
      severity: 'error',
      from: { path: `^src/(${order.join('|')})/` },
      to: { path: '(^|/)(node:|fs$|path$|solid-js|comlink|node_modules/solid-js|node_modules/comlink)' },
    },
    {
      name: 'app-does-not-import-the-command-line',
      severity: 'error',
      from: { path: '^src/app/' },
      to: { path: '^src/cli/' },
    },
    {
      name: 'command-line-does-not-import-the-app',
      severity: 'error',
      from: { path: '^src/cli/' },
      to: { path: '^src/app/' },
    },
    {
      name: 'kernel-knows-no-screen',
      severity: 'error',
      from: { path: '^src/app/kernel/' },
      to: { path: '^src/app/(view|features|components)/' },
    },
    {
      name: 'workers-import-core-only',
      severity: 'error',
      from: { path: '^workers/' },
      to: { path: '^src/(app|cli)/' },
    },
    {
      name: 'app-sees-only-the-declaration-of-a-worker',
      severity: 'error',
      from: { path: '^src/app/' },
      to: { path: '^workers/', pathNot: '-api\\.ts$', dependencyTypesNot: ['type-only'] },
    },
  ],
  options: {
    tsConfig: { fileName: 'tsconfig.json' },
    tsPreCompilationDeps: true,
    doNotFollow: { path: 'node_modules' },
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'types', 'default'] },
  },
};
