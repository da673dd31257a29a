/**
 * What test files import from vitest, for tests that run in one process with the code that they test (mutateInProcess.mjs):
 * suites are remembered, and run when they are asked for; what is expected is judged by vitest's own matchers.
 */
import {
  ASYMMETRIC_MATCHERS_OBJECT,
  chai,
  GLOBAL_EXPECT,
  JestAsymmetricMatchers,
  JestChaiExpect,
  JestExtend,
  setState,
} from '@vitest/expect'

chai.use(JestExtend)
chai.use(JestChaiExpect)
chai.use(JestAsymmetricMatchers)

export const expect = Object.assign(
  (value, message) => chai.expect(value, message),
  chai.expect,
  globalThis[ASYMMETRIC_MATCHERS_OBJECT],
)
Object.defineProperty(globalThis, GLOBAL_EXPECT, { value: expect })
setState({ assertionCalls: 0, isExpectingAssertions: false, expectedAssertionsNumber: null }, expect)

/** Suites and tests of each file as they were written, before any suite was opened. */
export const written = []

/** What is being collected: the names of the suites around, and where tests go. */
let open = { names: [], tests: undefined }

/** Says which file is being loaded. */
export function fileBegins(file) {
  written.push({ file, entries: [] })
  open = { names: [], tests: undefined }
}

/** Opens the suites of a file, and answers its tests; what stands in suites beside them runs now. */
export async function testsOf({ entries }) {
  const tests = []
  for (const { kind, name, run } of entries) {
    if (kind === 'test') tests.push({ name, run })
    else await suite([name], run, tests)
  }
  return tests
}

async function suite(names, run, tests) {
  const before = open
  const inner = []
  open = { names, tests, inner }
  await run()
  open = before
  for (const one of inner) await suite([...names, one.name], one.run, tests)
}

function entered(kind, name, run) {
  if (open.tests === undefined) written.at(-1).entries.push({ kind, name, run })
  else if (kind === 'test') open.tests.push({ name: [...open.names, name].join(' '), run })
  else open.inner.push({ name, run })
}

/** The same for each of several cases, told apart by their number. */
const each = (kind) => (cases) => (name, run) =>
  cases.forEach((one, i) => {
    entered(kind, `${name} ${i + 1}`, () => run(...(Array.isArray(one) ? one : [one])))
  })

export const describe = Object.assign((name, run) => entered('suite', name, run), { each: each('suite') })
export const it = Object.assign((name, run) => entered('test', name, run), { each: each('test') })
export const test = it
export const afterAll = () => {}
