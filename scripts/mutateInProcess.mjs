/**
 * Runs tests for Stryker in the process that holds the broken code: everything is bundled and loaded once, and a break is
 * switched on while the tests that reach it run. What costs seconds for each break elsewhere (a worker, hundreds of modules)
 * costs nothing here. Only for tests that are pure functions of the code: no hooks, mocks, snapshots, files of their own.
 */
import { existsSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { commonTokens, declareClassPlugin, PluginKind, tokens } from '@stryker-mutator/api/plugin'
import { determineHitLimitReached, TestStatus, toMutantRunResult } from '@stryker-mutator/api/test-runner'
import { build } from 'esbuild'

const shim = join(import.meta.dirname, 'mutateShim.mjs')
/** State of the code that Stryker has prepared: which break is on, what was reached. */
globalThis.__stryker__ ??= {}
const state = globalThis.__stryker__

/** Names of files and folders stay those of each source, and each test file says that it begins. */
const sources = (files) => ({
  name: 'sources',
  setup(bundler) {
    bundler.onResolve({ filter: /^vitest$/ }, () => ({ path: shim, external: true }))
    bundler.onLoad({ filter: /\.ts$/ }, ({ path }) => {
      const test = files.find((file) => path.endsWith(file))
      const text = readFileSync(path, 'utf8')
        .replaceAll('import.meta.dirname', JSON.stringify(dirname(path)))
        .replaceAll('import.meta.url', JSON.stringify(pathToFileURL(path).href))
      const begins = `import { fileBegins } from 'vitest'; fileBegins(${JSON.stringify(test)});\n`
      return { contents: test === undefined ? text : begins + text, loader: 'ts' }
    })
  },
})

class InProcess {
  static inject = tokens(commonTokens.options)
  /** Files with their tests, once they are loaded. */
  files
  constructor({ inProcess }) {
    this.tests = inProcess.tests
  }

  capabilities() {
    return { reloadEnvironment: false }
  }

  async init() {
    this.bundle = join(process.cwd(), '.mutate-bundle.mjs')
    if (existsSync(this.bundle)) return
    await build({
      stdin: {
        contents: this.tests.map((file) => `import './${file}'`).join('\n'),
        resolveDir: process.cwd(),
      },
      bundle: true,
      packages: 'external',
      platform: 'node',
      format: 'esm',
      outfile: this.bundle,
      logLevel: 'error',
      plugins: [sources(this.tests)],
    })
  }

  async load() {
    if (this.files !== undefined) return
    const { written, testsOf } = await import(pathToFileURL(shim).href)
    await import(pathToFileURL(this.bundle).href)
    this.testsOf = testsOf
    this.files = written
  }

  /** Runs what is wanted, or all, file after file; ends with the first failure where one is enough. */
  async run(wanted, untilFailure) {
    const results = []
    const one = async (id, run) => {
      const began = performance.now()
      state.currentTestId = id
      let failure
      try {
        await run()
      } catch (thrown) {
        failure = String(thrown?.message ?? thrown)
      }
      state.currentTestId = undefined
      const timeSpentMs = performance.now() - began
      results.push({
        id,
        name: id,
        timeSpentMs,
        ...(failure === undefined
          ? { status: TestStatus.Success }
          : { status: TestStatus.Failed, failureMessage: failure }),
      })
      return failure === undefined
    }
    for (const written of this.files) {
      // What stands in suites beside the tests is a test of its own: whatever breaks it breaks all that follow.
      const suites = `${written.file}#suites`
      const anew = wanted === undefined || wanted.has(suites) || written.tests === undefined
      if (anew) {
        if (!(await one(suites, async () => (written.tests = await this.testsOf(written)))) && untilFailure) {
          written.tests = undefined
          return results
        }
      }
      for (const { name, run } of written.tests ?? []) {
        const id = `${written.file}#${name}`
        if (wanted !== undefined && !wanted.has(id) && !wanted.has(suites)) continue
        if (!(await one(id, run)) && untilFailure) {
          if (anew) written.tests = undefined
          return results
        }
      }
      // Suites opened while something was broken hold what it made.
      if (anew && untilFailure) written.tests = undefined
    }
    return results
  }

  async dryRun() {
    state.activeMutant = undefined
    await this.load()
    const tests = await this.run(undefined, false)
    // Quick files first: most breaks are noticed by one of them.
    const took = ({ file }) =>
      tests.reduce((sum, { id, timeSpentMs }) => sum + (id.startsWith(`${file}#`) ? timeSpentMs : 0), 0)
    this.files = this.files
      .map((one) => [took(one), one])
      .sort(([one], [two]) => one - two)
      .map(([, one]) => one)
    return { status: 'complete', tests, mutantCoverage: state.mutantCoverage }
  }

  async mutantRun({ activeMutant, mutantActivation, testFilter, hitLimit }) {
    const wanted = testFilter === undefined ? undefined : new Set(testFilter)
    if (mutantActivation === 'static') state.activeMutant = activeMutant.id
    let failed
    try {
      await this.load()
    } catch (thrown) {
      failed = String(thrown?.message ?? thrown)
    }
    if (failed !== undefined) {
      return toMutantRunResult({
        status: 'complete',
        tests: [
          { id: 'load', name: 'load', timeSpentMs: 0, status: TestStatus.Failed, failureMessage: failed },
        ],
      })
    }
    if (wanted !== undefined) {
      // Suites that this break does not reach are opened before it is switched on.
      state.activeMutant = undefined
      for (const written of this.files) written.tests ??= await this.testsOf(written)
    }
    state.activeMutant = activeMutant.id
    state.hitCount = 0
    state.hitLimit = hitLimit
    const tests = await this.run(wanted, true)
    state.activeMutant = undefined
    const over = determineHitLimitReached(state.hitCount, hitLimit)
    state.hitCount = undefined
    return toMutantRunResult(over ?? { status: 'complete', tests })
  }
}

export const strykerPlugins = [declareClassPlugin(PluginKind.TestRunner, 'in-process', InProcess)]
