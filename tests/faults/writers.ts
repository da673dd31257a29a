import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { runHoldfast } from '../cli/runHoldfast.js'
import { csvOf, oneSheet } from '../records/practice.js'

const day = ['--date', '2026-01-31']

/** A command that writes: how it is called in a folder with `practice.csv`, what it needs first, and what it writes. */
export interface Writer {
  readonly words: readonly string[]
  readonly prepare?: (folder: string) => Promise<void> | void
  /** Paths that it writes; default `made`. */
  readonly writes?: readonly string[]
  /** What it writes is there as a whole folder or not at all; the others write file by file. */
  readonly wholeFolder?: true
  /** Keys or pseudonyms are drawn, so that no two runs write the same bytes. */
  readonly draws?: true
  /** It refuses to write where something stands already, and says so. */
  readonly once?: true
}

/** Names as keys, so that reading draws pseudonyms and writes a key file. */
function names(folder: string): void {
  const text = csvOf(oneSheet(40))
  writeFileSync(join(folder, 'names.csv'), text.replaceAll(/\bP(\d+)\b/g, 'Anna Berg $1'))
}

function later(folder: string): void {
  mkdirSync(join(folder, 'later'))
  writeFileSync(join(folder, 'later', 'practice.csv'), csvOf(oneSheet(130)))
}

/** Answers to every question of the interview, each as it was proposed. */
async function answers(folder: string): Promise<void> {
  const open = join(folder, 'practice.csv.questions.json')
  const given = join(folder, 'given.json')
  let words = ['map', 'practice.csv', ...day]
  for (let round = 0; round < 5; round++) {
    if ((await runHoldfast(folder, words)).code === 0) return
    const asked = JSON.parse(readFileSync(open, 'utf8'))
    for (const question of asked.open) question.answer = question.proposed ?? 'no column'
    writeFileSync(given, JSON.stringify(asked))
    words = ['map', 'practice.csv', '--answers', 'given.json', ...day]
  }
}

function notebook(folder: string): void {
  const cell = {
    cell_type: 'code',
    id: 'a',
    metadata: {},
    source: ['1 + 1'],
    outputs: [],
    execution_count: null,
  }
  const text = JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells: [cell] })
  writeFileSync(join(folder, 'small.ipynb'), text)
}

/** Every command that writes, by its name. */
export const writers: Readonly<Record<string, Writer>> = {
  audit: {
    words: ['audit', 'practice.csv', '--formats', 'none', '--out', 'made', ...day],
    wholeFolder: true,
  },
  changes: {
    words: ['changes', 'practice.csv', 'later/practice.csv', '--formats', 'none', '--out', 'made', ...day],
    prepare: later,
    wholeFolder: true,
  },
  plan: { words: ['plan', 'plan.json', ...day], writes: ['plan.json', 'plan.md'], once: true },
  propose: { words: ['propose', '--formats', 'none', '--out', 'made', ...day], wholeFolder: true },
  needed: {
    words: ['needed', 'practice.csv', '--formats', 'none', '--out', 'made', ...day],
    wholeFolder: true,
  },
  watch: {
    words: ['watch', 'practice.csv', '--formats', 'none', '--out', 'made', ...day],
    wholeFolder: true,
  },
  check: {
    words: ['check', 'names.csv', ...day],
    prepare: names,
    writes: ['holdfast-key.json'],
    draws: true,
  },
  map: {
    words: ['map', 'practice.csv', '--redo', '--answers', 'given.json', '--tables', 'made', ...day],
    prepare: answers,
    writes: ['practice.csv.map.json', 'practice.csv.answers.json', 'made'],
  },
  template: { words: ['template', 'made'], wholeFolder: true },
  study: { words: ['study', 'made'] },
  recall: { words: ['recall', 'practice.csv', '--out', 'made', ...day] },
  deidentify: {
    words: ['deidentify', 'practice.csv', '--out', 'made', '--accept-small-groups', '1', ...day],
    writes: ['made', 'holdfast-key.json'],
    draws: true,
  },
  merge: {
    words: ['merge', 'practice.csv', 'later/practice.csv', '--keep', 'later', '--out', 'made', ...day],
    prepare: later,
    wholeFolder: true,
  },
  demo: { words: ['demo', 'made', '--restorations', '300'], wholeFolder: true },
  notebook: { words: ['notebook', 'small.ipynb', '--html', '--out', 'made'], prepare: notebook },
  kernel: { words: ['kernel', '--out', 'made'] },
}

/** The steps of a study group, which are killed at each of their writes in tests/pooling/interrupted.test.ts. */
export const groupSteps: readonly string[] = ['share', 'void', 'pool']

/** Commands that write nothing to the disk. */
export const writeNothing: readonly string[] = ['verify']
