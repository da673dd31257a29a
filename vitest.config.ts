import { defineConfig } from 'vitest/config'

/**
 * What starts browsers, kernels and simulations, runs every example of the documents or attacks every release. These
 * run with `npm run test:all`, as .ci/run does; `npm test` leaves them out.
 */
const slow = [
  'tests/attacks/**',
  'tests/browser/**',
  'tests/docs/examples.test.ts',
  'tests/exercises/**',
  'tests/faults/**',
  'tests/notebook/command.test.ts',
  'tests/notebook/notebooks.test.ts',
  'tests/notebook/runOver.test.ts',
  'tests/pooling/interrupted.test.ts',
  'tests/records/fuzz.test.ts',
  'tests/records/intake/manyCorruptions.test.ts',
  'tests/report/examples.test.ts',
  'tests/report/groupPrint.test.ts',
  'tests/report/leafletPrint.test.ts',
  'tests/report/pdf.test.ts',
  'tests/verification/simulation/**',
]

export default defineConfig(({ mode }) => ({
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['**/node_modules/**', ...(mode === 'all' ? [] : slow)],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    maxWorkers: 2,
  },
}))
