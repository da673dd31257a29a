/**
 * The whole command, from a file of records to what was asked for, beside the version before: pairs of runs on the same
 * data, the order turned each time, ratios with their spread; and how cost grows with the number of restorations.
 * Each run is a process of its own; processor time counts its threads and the processes that it starts.
 */
import { execFileSync, spawn } from 'node:child_process'
import { appendFileSync, existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { loadavg, tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'

const here = fileURLToPath(new URL('..', import.meta.url))

/** What is asked of an audit: numbers for machines, the usual report, every format that both versions write. */
const targets = {
  answer: ['--formats', 'none'],
  report: [],
  everything: ['--formats', 'markdown,word,pdf'],
}

/** Number of restorations that stands for the usual demo data. */
const demo = 0

/**
 * @param words options: --before DIR (else HOLDFAST_BEFORE), --pairs N, --sizes a,b (0: the demo data), --to a,b,
 *   --growth a,b,c, --keep FILE (lines of JSON; runs that stand there are not repeated), --at-most N (runs or pairs now)
 */
export async function timePairs(words) {
  const order = orderOf(words)
  const kept = keptIn(order.keep)
  const folder = mkdtempSync(join(tmpdir(), 'road-'))
  try {
    const wanted = stillWanted(order, kept)
    const now = wanted.slice(0, order.atMost)
    for (const { size, target, pair, versions } of now) {
      const data = dataOf(folder, size)
      for (const version of versions) {
        const measured = await measure(order[version], data, target, join(folder, version))
        keep({ size, target, pair, version, ...measured, load: loadavg()[0] }, kept, order.keep)
      }
    }
    if (order.before !== undefined) showPairs(order, kept)
    showGrowth(order, kept)
    if (now.length < wanted.length)
      console.log(`\n${wanted.length - now.length} of ${wanted.length} left to run`)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

function orderOf(words) {
  const value = (name) => {
    const at = words.indexOf(`--${name}`)
    return at < 0 ? undefined : words[at + 1]
  }
  const list = (name, otherwise) =>
    value(name)
      ?.split(',')
      .filter((one) => one !== '') ?? otherwise
  const before = value('before') ?? process.env.HOLDFAST_BEFORE
  return {
    now: here,
    before: before === undefined ? undefined : resolve(before),
    pairs: Number(value('pairs') ?? 5),
    sizes: list('sizes', ['0', '20000', '200000']).map(Number),
    targets: list('to', Object.keys(targets)),
    growth: list('growth', ['50000', '100000', '200000']).map(Number),
    keep: value('keep'),
    atMost: Number(value('at-most') ?? Number.POSITIVE_INFINITY),
  }
}

function keptIn(path) {
  if (path === undefined || !existsSync(path)) return []
  return readFileSync(path, 'utf8')
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => JSON.parse(line))
}

function keep(run, kept, path) {
  kept.push(run)
  if (path !== undefined) appendFileSync(path, `${JSON.stringify(run)}\n`)
  console.log(
    `${nameOf(run.size)}, to ${run.target}, ${run.version}: ${run.wall.toFixed(2)} s, ${run.processor.toFixed(2)} s of processor time, ${Math.round(run.megabytes)} MB, load ${run.load.toFixed(1)}`,
  )
}

/** Pairs first, the small sizes before the large; then what growth needs beyond them. */
function stillWanted({ before, pairs, sizes, targets: asked, growth }, kept) {
  const wanted = []
  const isKept = (size, target, pair, version) =>
    kept.some(
      (run) => run.size === size && run.target === target && run.pair === pair && run.version === version,
    )
  if (before !== undefined)
    for (const size of sizes)
      for (const target of asked)
        for (let pair = 0; pair < pairs; pair++) {
          // A pair is measured together or not at all: half of one cannot be compared with another hour's half.
          if (isKept(size, target, pair, 'now') && isKept(size, target, pair, 'before')) continue
          wanted.push({
            size,
            target,
            pair,
            versions: pair % 2 === 0 ? ['before', 'now'] : ['now', 'before'],
          })
        }
  for (const size of growth)
    for (let pair = 0; pair < 3; pair++) {
      const isPaired =
        before !== undefined && sizes.includes(size) && asked.includes('answer') && pair < pairs
      if (!isPaired && !isKept(size, 'answer', pair, 'now'))
        wanted.push({ size, target: 'answer', pair, versions: ['now'] })
    }
  return wanted
}

const nameOf = (size) => (size === demo ? 'the demo data' : `${size} restorations`)

function dataOf(folder, size) {
  const data = join(folder, `data-${size}`)
  if (!existsSync(data))
    execFileSync(process.execPath, [
      join(here, 'dist/cli/main.js'),
      ...['demo', data],
      ...(size === demo ? [] : ['--restorations', String(size)]),
    ])
  return data
}

/** One audit: clock, processor time of the whole tree of processes, and the peak memory of the program. */
function measure(version, data, target, out) {
  rmSync(out, { recursive: true, force: true })
  const words = ['audit', data, '--out', out, '--date', '2026-01-31', ...targets[target]]
  // The shell adds up what every process below it took; Node itself tells of no processes that it started.
  const script = '"$@" >/dev/null; code=$?; times >&4; exit $code'
  const node = [
    process.execPath,
    '--import',
    join(here, 'bench/usage.mjs'),
    join(version, 'dist/cli/main.js'),
  ]
  return new Promise((done, failed) => {
    const start = performance.now()
    const child = spawn('bash', ['-c', script, 'bash', ...node, ...words], {
      stdio: ['ignore', 'ignore', 'pipe', 'pipe', 'pipe'],
      env: { ...process.env, LC_ALL: 'C' },
    })
    const text = ['', '', '', '', '']
    for (const at of [2, 3, 4]) child.stdio[at].on('data', (piece) => (text[at] += piece))
    child.on('close', (code) => {
      const wall = (performance.now() - start) / 1000
      if (code !== 0) return failed(new Error(`${words.join(' ')} ended with ${code}: ${text[2]}`))
      done({ wall, processor: processorOf(text[4]), megabytes: JSON.parse(text[3]).peakMegabytes })
    })
  })
}

/** Second line of `times`: user and system time of what the shell waited for, as 1m2.345s. */
function processorOf(text) {
  const parts = text.trim().split('\n')[1].split(' ')
  return parts
    .map((part) => /^(\d+)m([\d.]+)s$/.exec(part))
    .reduce((sum, [, minutes, seconds]) => sum + 60 * Number(minutes) + Number(seconds), 0)
}

function median(values) {
  const sorted = [...values].sort((one, other) => one - other)
  const middle = sorted.length >> 1
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2
}

function showPairs({ sizes, targets: asked, pairs }, kept) {
  console.log(
    '\nNow over before: median of the pairs [least to most]; medians of clock and processor time; most memory',
  )
  for (const size of sizes)
    for (const target of asked) {
      const of = (version) =>
        Array.from({ length: pairs }, (_, pair) =>
          kept.findLast(
            (run) =>
              run.size === size && run.target === target && run.pair === pair && run.version === version,
          ),
        )
      const both = of('now')
        .map((run, pair) => [run, of('before')[pair]])
        .filter(([one, other]) => one !== undefined && other !== undefined)
      if (both.length === 0) continue
      console.log(`\n${nameOf(size)}, to ${target}, ${both.length} pairs`)
      for (const [what, unit, field] of [
        ['clock', 's', 'wall'],
        ['processor time', 's', 'processor'],
        ['memory', 'MB', 'megabytes'],
      ]) {
        const ratios = both.map(([now, before]) => now[field] / before[field])
        const middle = (at) => median(both.map((one) => one[at][field])).toFixed(unit === 's' ? 2 : 0)
        console.log(
          `  ${what.padEnd(14)} ${median(ratios).toFixed(2)} [${Math.min(...ratios).toFixed(2)} to ${Math.max(...ratios).toFixed(2)}]   now ${middle(0)} ${unit}, before ${middle(1)} ${unit}`,
        )
      }
    }
}

/**
 * Exponent of cost: slope of log processor time on log size. n log n itself has a slope a little above 1 between these
 * sizes, which is what it is held against. All sizes lie above 20,000 restorations compared, where the number of completed
 * tables changes.
 */
function showGrowth({ growth }, kept) {
  const points = growth
    .map((size) => ({
      size,
      runs: kept.filter((run) => run.size === size && run.target === 'answer' && run.version === 'now'),
    }))
    .filter(({ runs }) => runs.length > 0)
    .map(({ size, runs }) => ({
      size,
      processor: median(runs.map((run) => run.processor)),
      spread: runs.map((run) => run.processor),
      wall: median(runs.map((run) => run.wall)),
      megabytes: Math.max(...runs.map((run) => run.megabytes)),
    }))
  if (points.length < 3) return
  console.log('\nGrowth, to answer: medians')
  for (const { size, processor, spread, wall, megabytes } of points)
    console.log(
      `  ${String(size).padStart(8)} restorations  ${processor.toFixed(2)} s of processor time [${Math.min(...spread).toFixed(2)} to ${Math.max(...spread).toFixed(2)}], clock ${wall.toFixed(2)} s, ${Math.round(megabytes)} MB; ${((1e6 * processor) / (size * Math.log2(size))).toFixed(2)} µs per n log2 n`,
    )
  const fitted = slope(points.map(({ size, processor }) => [size, processor]))
  const bound = slope(points.map(({ size }) => [size, size * Math.log(size)]))
  console.log(`  exponent ${fitted.toFixed(2)}; n log n has ${bound.toFixed(2)} between these sizes`)
}

function slope(points) {
  const x = points.map(([size]) => Math.log(size))
  const y = points.map(([, cost]) => Math.log(cost))
  const mean = (values) => values.reduce((sum, one) => sum + one, 0) / values.length
  const [mx, my] = [mean(x), mean(y)]
  return (
    x.reduce((sum, one, i) => sum + (one - mx) * (y[i] - my), 0) /
    x.reduce((sum, one) => sum + (one - mx) ** 2, 0)
  )
}
