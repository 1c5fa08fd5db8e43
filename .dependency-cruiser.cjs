/** One import direction: geometry <- scan <- teeth <- contacts <- closure <- study <- report <- casefile <- app, cli. */
const order = ['geometry', 'scan', 'teeth', 'contacts', 'closure', 'study', 'report', 'casefile'];
const CORE = `^src/(${order.join('|')})/`;
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
      name: 'core-uses-no-node-module',
      comment: 'Bytes and numbers in, plain data out: the core runs in page, worker and command line alike.',
      severity: 'error',
      from: { path: CORE },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'core-uses-only-these-packages',
      comment: 'An allow-list, so that a new package in the core is a decision.',
      severity: 'error',
      from: { path: CORE },
      to: {
        path: 'node_modules/',
        pathNot:
          'node_modules/(three|@types/three|three-mesh-bvh|@loaders\\.gl/(core|ply|loader-utils|schema)|ml-matrix|quadprog|valibot|fflate|papaparse|@types/papaparse|d3-(scale|shape)|@types/d3-(scale|shape))/',
      },
    },
    {
      name: 'three-in-the-core-is-for-geometry-only',
      severity: 'error',
      from: { path: CORE, pathNot: '^src/geometry/' },
      to: { path: 'node_modules/(three|@types/three|three-mesh-bvh)/' },
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
