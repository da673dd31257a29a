import { defineConfig } from 'vitest/config'
import { BaseSequencer, type TestSpecification } from 'vitest/node'

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
  'tests/documents/examples.test.ts',
  'tests/documents/groupPrint.test.ts',
  'tests/documents/ownPages.test.ts',
  'tests/documents/leafletPrint.test.ts',
  'tests/documents/languages.test.ts',
  'tests/documents/translated.test.ts',
  'tests/documents/lengths.test.ts',
  'tests/documents/pdf.test.ts',
  'tests/verification/simulation/**',
]

/** The longest files, a minute and more: started first, so that none is left running alone at the end. */
const longest = [
  'tests/records/intake/manyCorruptions.test.ts',
  'tests/pooling/interrupted.test.ts',
  'tests/cli/cli.test.ts',
  'tests/notebook/notebooks.test.ts',
  'tests/docs/examples.test.ts',
  'tests/notebook/runner.test.ts',
]

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification): number => {
      const found = longest.findIndex((path) => moduleId.endsWith(path))
      return found < 0 ? longest.length : found
    }
    return (await super.sort(files)).sort((one, other) => place(one) - place(other))
  }
}

export default defineConfig(({ mode }) => ({
  test: {
    include: ['tests/**/*.test.ts'],
    setupFiles: ['tests/propertySeed.ts'],
    exclude: ['**/node_modules/**', ...(mode === 'all' ? [] : slow)],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    maxWorkers: 2,
    // No test replaces a module or a clock, so that files share what was loaded: a third of the time was loading.
    isolate: false,
    sequence: { sequencer: LongestFirst },
  },
}))
