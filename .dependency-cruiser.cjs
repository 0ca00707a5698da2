/** The floors of DEVELOPERS.md as a build rule: what may import what. */
const CORE_ORDER = [
  'model',
  'physics|statistics',
  'track',
  'detect',
  'assess',
  'forecast',
  'alarms',
  'advise',
  'kernel',
  'learn|study',
]
const corePath = (names) => `^services/core/(${names.join('|')})/`

const coreRules = CORE_ORDER.slice(0, -1).map((name, i) => ({
  name: `core-${name.replace('|', '-')}-looks-down-only`,
  severity: 'error',
  from: { path: corePath([name]) },
  to: { path: corePath(CORE_ORDER.slice(i + 1)) },
}))

module.exports = {
  forbidden: [
    { name: 'no-circular', severity: 'error', from: {}, to: { circular: true } },
    {
      name: 'not-to-dev-dependency',
      severity: 'error',
      from: { path: '^(services|sensors)/', pathNot: '^services/cli/build' },
      to: { dependencyTypes: ['npm-dev'] },
    },
    {
      name: 'core-is-pure-no-node',
      severity: 'error',
      from: { path: '^services/core/' },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'core-imports-only-itself-and-pure-libraries',
      severity: 'error',
      from: { path: '^services/core/' },
      to: {
        pathNot:
          '^services/core/|node_modules/(zod|simple-statistics|temporal-polyfill|temporal-spec|rrule-temporal)/',
      },
    },
    {
      name: 'zod-in-core-model-only',
      severity: 'error',
      from: { path: '^services/core/', pathNot: '^services/core/model/' },
      to: { path: 'node_modules/zod/' },
    },
    {
      name: 'physics-and-statistics-import-model-alone',
      severity: 'error',
      from: { path: '^services/core/physics/' },
      to: { path: '^services/core/', pathNot: '^services/core/(model|physics)/' },
    },
    ...coreRules,
    {
      name: 'codecs-import-model-and-libraries',
      severity: 'error',
      from: { path: '^services/codecs/' },
      to: { path: '^(services|sensors|dashboards)/', pathNot: '^services/(core/model|codecs)/' },
    },
    {
      name: 'adapters-import-core-and-codecs',
      severity: 'error',
      from: { path: '^services/adapters/' },
      to: { path: '^(services|sensors|dashboards)/', pathNot: '^services/(core|codecs|adapters)/' },
    },
    {
      name: 'adapter-never-imports-another-adapter',
      severity: 'error',
      from: { path: '^services/adapters/([^/]+)/' },
      to: { path: '^services/adapters/', pathNot: '^services/adapters/$1/' },
    },
    {
      name: 'web-reaches-storage-through-ports',
      severity: 'error',
      from: { path: '^services/web/' },
      to: { path: '^(services|sensors|dashboards)/', pathNot: '^services/(core|codecs|web)/' },
    },
    {
      name: 'web-opens-no-driver',
      severity: 'error',
      from: { path: '^services/web/' },
      to: { path: 'node_modules/(better-sqlite3|mqtt|aedes)/' },
    },
    {
      name: 'monitor-looks-down-only',
      severity: 'error',
      from: { path: '^services/monitor/' },
      to: { path: '^(services/cli|sensors|dashboards)/' },
    },
    {
      name: 'dashboards-import-types-only',
      severity: 'error',
      from: { path: '^dashboards/' },
      to: { path: '^(services|sensors)/', dependencyTypesNot: ['type-only'] },
    },
    {
      name: 'sensors-import-model-and-codecs',
      severity: 'error',
      from: { path: '^sensors/', pathNot: '^sensors/simulator/' },
      to: { path: '^(services|dashboards)/', pathNot: '^services/(core/model|codecs)/' },
    },
    {
      name: 'simulator-may-also-use-the-air',
      severity: 'error',
      from: { path: '^sensors/simulator/' },
      to: { path: '^(services|dashboards)/', pathNot: '^services/(core/model|core/physics/air|codecs)/?' },
    },
    {
      name: 'sensor-node-without-simulator',
      severity: 'error',
      from: { path: '^sensors/', pathNot: '^sensors/simulator/' },
      to: { path: '^sensors/simulator/' },
    },
  ],
  options: {
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    doNotFollow: { path: 'node_modules' },
    exclude: { path: '\\.build/' },
    enhancedResolveOptions: {
      extensions: ['.ts', '.tsx', '.js', '.mjs', '.json'],
      conditionNames: ['import', 'node', 'default'],
      exportsFields: ['exports'],
    },
  },
}
