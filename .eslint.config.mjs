import tseslint from 'typescript-eslint'

const coreBans = [
  {
    selector: "MemberExpression[object.name='Date'][property.name='now']",
    message: 'core has no clock: take the time as an argument',
  },
  {
    selector: "NewExpression[callee.name='Date'][arguments.length=0]",
    message: 'core has no clock: take the time as an argument',
  },
  {
    selector: "CallExpression[callee.name='Date']",
    message: 'core has no clock: take the time as an argument',
  },
  {
    selector: "MemberExpression[object.name='Math'][property.name='random']",
    message: 'core has no chance: take the draw as an argument',
  },
  {
    selector: "MemberExpression[object.name='Temporal'][property.name='Now']",
    message: 'core has no clock: take the time as an argument',
  },
  {
    selector: 'CallExpression[callee.property.name=/^toLocale/]',
    message: 'core has no default locale or zone',
  },
]

export default tseslint.config(
  { ignores: ['node_modules/**', '.build/**', '.nightcap/**', '.demo/**', '**/*.cjs', '**/*.mjs'] },
  ...tseslint.configs.recommendedTypeChecked,
  {
    files: ['**/*.ts', '**/*.tsx'],
    languageOptions: {
      parserOptions: {
        project: [
          './tsconfig.json',
          './services/core/tsconfig.json',
          './dashboards/tsconfig.json',
          './dashboards/worker/tsconfig.json',
          './tests/browser/tsconfig.json',
        ],
        tsconfigRootDir: import.meta.dirname,
      },
    },
    rules: {
      '@typescript-eslint/require-await': 'off',
      '@typescript-eslint/restrict-template-expressions': [
        'error',
        { allowNumber: true, allowBoolean: true },
      ],
      '@typescript-eslint/no-non-null-assertion': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
    },
  },
  { files: ['services/core/**/*.ts'], rules: { 'no-restricted-syntax': ['error', ...coreBans] } },
)
