import { defineConfig, globalIgnores } from 'eslint/config';
import tseslint from 'typescript-eslint';

export default defineConfig(
  globalIgnores(['dist/', 'coverage/', 'fank-site/']),
  { linterOptions: { reportUnusedDisableDirectives: 'error' } },
  {
    files: ['**/*.{ts,tsx,js}'],
    extends: [tseslint.configs.strictTypeChecked],
    languageOptions: {
      parserOptions: {
        projectService: { allowDefaultProject: ['*.config.*', 'src/cli/fank.js'] },
        tsconfigRootDir: import.meta.dirname,
      },
    },
    rules: {
      // A number has one way of being written in a message; objects still have none.
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true }],
      // `() => send(x)` says no more and no less than `() => { send(x); }`.
      '@typescript-eslint/no-confusing-void-expression': ['error', { ignoreArrowShorthand: true }],
      // `import type` loads nothing, which is what the dependency rules count on.
      '@typescript-eslint/consistent-type-imports': 'error',
      // A union that grows shows every switch that has no answer to the new case.
      '@typescript-eslint/switch-exhaustiveness-check': [
        'error',
        { considerDefaultExhaustiveForUnions: true },
      ],
      eqeqeq: 'error',
    },
  },
  { files: ['**/*.js'], extends: [tseslint.configs.disableTypeChecked] },
);
