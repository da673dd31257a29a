import { createHash, type Hash } from 'node:crypto'
import {
  type FileHandle,
  mkdir,
  mkdtemp,
  open,
  readdir,
  readFile,
  rename,
  rm,
  stat,
  writeFile,
} from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { stringify } from 'csv-stringify/sync'
import { clearLeftovers, whileAlone } from '../core/alone.js'
import { UsageError } from '../core/errors.js'
import { formatCount, formatPercent, formatRatio } from '../core/format.js'
import { parseJson } from '../core/jsonText.js'
import { stableJson } from '../core/plain.js'
import { tableSchema } from '../records/desk/dataPackageText.js'
import type { Field, SheetName } from '../vocabulary/fields.js'
import { generatePatients } from './generator.js'
import { mistakeKinds, type SheetRows } from './mistakes.js'
import type { DemoScenario } from './scenario.js'
import type { DemoSettings } from './settings.js'
import { demoColumns, demoFields, demoFiles, demoSheets } from './tables.js'
import { type DemoTruth, demoTitle, truthTally } from './truth.js'

/** Size and content of a written file, as the Data Package standard states them. */
export interface WrittenFile {
  readonly bytes: number
  /** Hexadecimal SHA-256. */
  readonly sha256: string
}

/** Name by which a folder of demo data is known again. */
const demoPackageName = 'holdfast-demo-data'

const descriptions: Readonly<Record<SheetName, string>> = {
  restorations: 'One row per crown or prosthesis on its screw joint.',
  tightenings: 'One row per application of torque.',
  visits: 'One row per restoration, visit and finding.',
  one_sheet: 'The same restorations in the one-sheet form, for practices that keep no linked tables.',
}

/** The data package (Data Package and Table Schema 2.0) of a generated study group, as JSON text. */
function demoDataPackage(settings: DemoSettings, files: Readonly<Record<SheetName, WrittenFile>>): string {
  const content = {
    $schema: 'https://datapackage.org/profiles/2.0/datapackage.json',
    name: demoPackageName,
    title: demoTitle,
    description:
      'No clinic, operator or patient in these tables exists. Everything is drawn at random by the generator of the project; truth.json says what was put in.',
    generated: true,
    seed: settings.seed,
    resources: demoSheets.map((sheet) => resourceOf(sheet, files[sheet])),
  }
  return `${stableJson(content, 2)}\n`
}

function resourceOf(sheet: SheetName, file: WrittenFile): unknown {
  return {
    name: demoFiles[sheet].replace('.csv', ''),
    title: descriptions[sheet],
    path: demoFiles[sheet],
    type: 'table',
    format: 'csv',
    mediatype: 'text/csv',
    encoding: 'utf-8',
    bytes: file.bytes,
    hash: `sha256:${file.sha256}`,
    schema: tableSchema(sheet, demoColumns(sheet)),
  }
}

const ownFiles = new Set([...Object.values(demoFiles), 'datapackage.json', 'truth.json', 'README.md'])

/** Beginning of the name of the folder in which demo data are made before they are renamed. */
const temporaryPrefix = '.holdfast-demo-'

/** What is at a place to which demo data shall be written. */
export type DemoTargetState = 'absent' | 'empty' | 'demo'

/**
 * Whether demo data may be written to a place: there is nothing, an empty folder, or demo data.
 *
 * @throws UsageError where something else is there, which is never overwritten
 */
async function demoTarget(target: string, asGiven: string): Promise<DemoTargetState> {
  const found = await stat(target).catch(ignoreAbsent)
  if (found === undefined) return 'absent'
  if (!found.isDirectory()) throw notAFolder(asGiven)
  const names = await readdir(target)
  if (names.length === 0) return 'empty'
  const own = names.every((name) => ownFiles.has(name) || name.startsWith(temporaryPrefix))
  if (!own || !(await saysDemo(join(target, 'datapackage.json')))) throw notADemoFolder(asGiven)
  return 'demo'
}

function ignoreAbsent(error: NodeJS.ErrnoException): undefined {
  if (error.code === 'ENOENT') return undefined
  throw error
}

async function saysDemo(path: string): Promise<boolean> {
  try {
    const content: unknown = parseJson(await readFile(path, 'utf8'))
    return (
      typeof content === 'object' &&
      content !== null &&
      'name' in content &&
      content.name === demoPackageName &&
      'generated' in content &&
      content.generated === true
    )
  } catch {
    return false
  }
}

function notAFolder(asGiven: string): UsageError {
  return new UsageError({
    code: 'not-a-folder',
    problem: `${asGiven} is a file.`,
    expected: 'a folder, or a name that is not taken yet.',
    mend: 'give another name.',
  })
}

function notADemoFolder(asGiven: string): UsageError {
  return new UsageError({
    code: 'not-a-demo-folder',
    problem: `${asGiven} holds files that are not demo data, and nothing was written.`,
    expected: 'a new or empty folder, or one with demo data only.',
    mend: 'give another folder, or move those files away.',
  })
}

/** What was written. */
export interface WrittenDemo {
  readonly directory: string
  readonly files: readonly string[]
  readonly truth: DemoTruth
}

/** Settings of the writing itself. */
export interface WriteDemoOptions {
  /** Called now and then with the share done, 0 to 1; default none. */
  readonly onProgress?: (share: number) => void
}

/** Patients whose rows are gathered before they go to disk. */
const patientsPerWrite = 500

/**
 * Writes a generated study group to a folder: three linked tables, the one-sheet form, the data package, the truth and
 * a page that explains them. Written to a temporary place first, then renamed. Rows are never held all at once, so
 * a million restorations need no more memory than a thousand.
 *
 * @param directory new, empty, or a folder of demo data (which is replaced)
 * @param settings from `demoSettings`
 * @throws UsageError `not-a-demo-folder` where the folder holds anything else, `not-a-folder`, `cannot-write`,
 *   `demo-settings`
 */
export async function writeDemo(
  directory: string,
  settings: DemoSettings,
  options: WriteDemoOptions = {},
): Promise<WrittenDemo> {
  const target = resolve(directory)
  try {
    return await writeAndRename(target, await demoTarget(target, directory), settings, options)
  } catch (error) {
    throw cannotWrite(error, directory)
  }
}

async function writeAndRename(
  target: string,
  state: DemoTargetState,
  settings: DemoSettings,
  options: WriteDemoOptions,
): Promise<WrittenDemo> {
  const place = dirname(target)
  await mkdir(place, { recursive: true })
  return whileAlone(target, () => writeAlone(target, place, state, settings, options))
}

async function writeAlone(
  target: string,
  place: string,
  state: DemoTargetState,
  settings: DemoSettings,
  options: WriteDemoOptions,
): Promise<WrittenDemo> {
  const prefix = `${temporaryPrefix}${basename(target)}-`
  await clearLeftovers(
    target,
    (name) => name.startsWith(prefix) && /^[A-Za-z0-9]{6}$/.test(name.slice(prefix.length)),
    () => 'old',
  )
  const temporary = await mkdtemp(join(place, prefix))
  try {
    // A folder made by mkdtemp is closed to others; the one inside it has the usual permissions.
    const folder = join(temporary, 'demo')
    await mkdir(folder)
    const { files, truth } = await writeFiles(folder, settings, options.onProgress ?? (() => {}))
    if (state !== 'absent') await rename(target, join(temporary, 'old'))
    try {
      await rename(folder, target)
    } catch (error) {
      if (state !== 'absent') await rename(join(temporary, 'old'), target).catch(() => undefined)
      throw error
    }
    return Object.freeze({ directory: target, files: Object.freeze(files), truth })
  } finally {
    await rm(temporary, { recursive: true, force: true })
  }
}

const placeFaults = new Set(['EACCES', 'EPERM', 'EROFS', 'ENOTDIR', 'ENAMETOOLONG', 'ENOSPC', 'EXDEV'])

/** A place that cannot be written to is a matter of the call, not a fault of the software. */
function cannotWrite(error: unknown, asGiven: string): unknown {
  if (!placeFaults.has((error as NodeJS.ErrnoException).code ?? '')) return error
  return new UsageError({
    code: 'cannot-write',
    problem: `${asGiven} cannot be written to (${(error as NodeJS.ErrnoException).code}).`,
    expected: 'a folder that may be written to, with room in it.',
    mend: 'give another folder.',
  })
}

async function writeFiles(
  folder: string,
  settings: DemoSettings,
  onProgress: (share: number) => void,
): Promise<{ readonly files: readonly string[]; readonly truth: DemoTruth }> {
  const tally = truthTally(settings.scenario)
  const tables = await openTables(folder)
  try {
    let patients = 0
    let waiting = emptyRows()
    for (const rows of generatePatients(settings, tally)) {
      for (const sheet of demoSheets) waiting[sheet].push(...rows[sheet])
      patients++
      if (patients % patientsPerWrite !== 0) continue
      for (const table of tables) await table.write(waiting[table.sheet])
      waiting = emptyRows()
      onProgress(patients / settings.patients)
    }
    for (const table of tables) await table.write(waiting[table.sheet])
  } finally {
    for (const table of tables) await table.close()
  }
  const truth = tally.truth(settings)
  const rows = bySheet(tables, (table) => table.rows())
  const written = bySheet(tables, (table) => table.written())
  await writeFile(join(folder, 'truth.json'), `${stableJson(truth, 2)}\n`)
  await writeFile(join(folder, 'README.md'), demoReadme(truth, rows))
  // Last, so that a folder with a data package is a whole one.
  await writeFile(join(folder, 'datapackage.json'), demoDataPackage(settings, written))
  onProgress(1)
  return {
    files: [...demoSheets.map((sheet) => demoFiles[sheet]), 'truth.json', 'README.md', 'datapackage.json'],
    truth,
  }
}

interface TableFile {
  readonly sheet: SheetName
  write(rows: SheetRows[SheetName]): Promise<void>
  rows(): number
  written(): WrittenFile
  close(): Promise<void>
}

async function openTables(folder: string): Promise<readonly TableFile[]> {
  const tables: TableFile[] = []
  for (const sheet of demoSheets) tables.push(await openTable(folder, sheet))
  return tables
}

async function openTable(folder: string, sheet: SheetName): Promise<TableFile> {
  const columns = demoColumns(sheet)
  const file = await open(join(folder, demoFiles[sheet]), 'w')
  const hash = createHash('sha256')
  let rowCount = 0
  let bytes = await append(file, hash, `${columns.join(',')}\n`)
  return {
    sheet,
    write: async (rows) => {
      if (rows.length === 0) return
      rowCount += rows.length
      bytes += await append(file, hash, stringify(rows, { columns: [...columns] }))
    },
    rows: () => rowCount,
    written: () => ({ bytes, sha256: hash.copy().digest('hex') }),
    close: () => file.close(),
  }
}

async function append(file: FileHandle, hash: Hash, text: string): Promise<number> {
  const content = Buffer.from(text, 'utf8')
  hash.update(content)
  await file.writeFile(content)
  return content.length
}

function emptyRows(): SheetRows {
  return { restorations: [], tightenings: [], visits: [], one_sheet: [] }
}

function bySheet<Value>(
  tables: readonly TableFile[],
  value: (table: TableFile) => Value,
): Readonly<Record<SheetName, Value>> {
  return Object.fromEntries(tables.map((table) => [table.sheet, value(table)])) as Record<SheetName, Value>
}

/** The page that stands beside the demo data: what they are, what is true of them, and the data dictionary. */
function demoReadme(truth: DemoTruth, rows: Readonly<Record<SheetName, number>>): string {
  return `${[...opening(truth, rows), ...whatIsTrue(truth), ...mistakesPart(truth), ...dictionary()].join('\n')}\n`
}

function opening(truth: DemoTruth, rows: Readonly<Record<SheetName, number>>): readonly string[] {
  const { scenario } = truth
  return [
    `# ${demoTitle}`,
    '',
    'No clinic, operator or patient in these tables exists: every row was drawn at random. Say so on every page and picture made from them. They show how the toolkit works, and nothing about how screws behave.',
    '',
    `Seed ${truth.seed}. Deliveries from ${scenario.firstDelivery} to ${scenario.lastDelivery}, followed to ${scenario.endOfObservation}. The same seed gives the same files, byte for byte: \`holdfast demo DIR --seed ${truth.seed}\`.`,
    '',
    '| file | rows | what it holds |',
    '|---|---|---|',
    `| ${demoFiles.restorations} | ${formatCount(rows.restorations)} | one row per crown or prosthesis |`,
    `| ${demoFiles.tightenings} | ${formatCount(rows.tightenings)} | one row per application of torque |`,
    `| ${demoFiles.visits} | ${formatCount(rows.visits)} | one row per restoration, visit and finding |`,
    `| ${demoFiles.one_sheet} | ${formatCount(rows.one_sheet)} | the same restorations in the one-sheet form |`,
    '| datapackage.json | | names, types, units, allowed values and keys (Data Package and Table Schema) |',
    '| truth.json | | the settings of the generator, and the rows with deliberate mistakes |',
    '',
  ]
}

function whatIsTrue(truth: DemoTruth): readonly string[] {
  const { scenario, counts, repeatedAgainstSingle } = truth
  const { hazardRatios, baseline } = scenario
  return [
    '## What is true of them',
    '',
    `${formatCount(counts.restorations)} restorations of ${formatCount(counts.patients)} patients; ${formatCount(counts.foundLoose)} found loose at least once. Hazard ratios below hold given the frailty of the patient (conditional). What a model without the frailty estimates, from looseness found at visits, is another figure (marginal): docs/verification/demo-coverage.md gives it.`,
    '',
    `- Tightened again in the window against once: hazard ratio ${formatRatio(repeatedAgainstSingle.conditionalHazardRatio)}; again outside the window ${formatRatio(hazardRatios.tightening.repeated_outside_window)}; undone and tightened ${formatRatio(hazardRatios.tightening.undone_then_tightened)}.`,
    `- Frailty shared by the restorations of a patient: gamma, mean 1, variance ${scenario.frailtyVariance}.`,
    `- Time to first loosening: Weibull, shape ${baseline.weibullShape} (early loosening is likelier than late), cumulative hazard ${baseline.cumulativeHazardAt3Years} at 3 years for the reference restoration: premolar, conical connection, no bruxism, delivered in the first year, tightened once, in an average clinic.`,
    `- Position: ${ratios(hazardRatios.region)}. Connection: ${ratios(hazardRatios.connection)}. Bruxism: ${ratios(hazardRatios.bruxism)}. Type: ${ratios(hazardRatios.restorationType)}. Each later year of delivery: ${formatRatio(hazardRatios.perDeliveryYear)}. After a repair: ${formatRatio(hazardRatios.afterLoosening)}, the clock set to zero.`,
    `- Clinics: ${scenario.clinics.map((clinic) => `${clinic.id} ${formatRatio(clinic.hazardRatio)}`).join(', ')}. Operators differ in what they prefer and in skill: ${scenario.clinics.flatMap((clinic) => clinic.operators.map((one) => `${one.id} ${formatRatio(one.hazardRatio)}`)).join(', ')}.`,
    ...riskLines(truth),
    ...choiceLines(scenario),
    ...recordLines(scenario),
    `- A loose screw is found at a visit with a check, or brings the patient in (${formatPercent(scenario.detection.symptomatic)} of them, after ${scenario.detection.meanDaysToVisit} days on average).`,
    `- Competing: implant loss (cumulative hazard ${scenario.competing.implantLossAtOneYear} in the first year), removal or remake for another cause (${scenario.competing.removalPerYear} per year), death (${scenario.competing.deathPerYearAt60} per year at 60). Lost to follow-up: ${formatPercent(scenario.lossToFollowUp.perYear)} of patients per year.`,
    `- Tightening group unknown in ${formatPercent(scenario.charting.protocolUnknown)}; written down without the tightenings in ${formatPercent(scenario.charting.groupOnly)}; written down wrongly in ${formatPercent(scenario.charting.groupMisstated)}.`,
    '',
  ]
}

function riskLines(truth: DemoTruth): readonly string[] {
  return [
    `- True risk of a first loosening in the single crowns, had all been tightened once, or all again in the window, with competing events as they come: ${truth.trueRisks
      .map(
        ({ years, single, repeatedInWindow }) =>
          `by ${years} ${years === 1 ? 'year' : 'years'} ${formatPercent(single)} and ${formatPercent(repeatedInWindow)}`,
      )
      .join('; ')}. A loosening is found some time after it happens, and not at all in those who stay away.`,
  ]
}

function recordLines(scenario: DemoScenario): readonly string[] {
  const { clinics } = scenario
  const drifting = clinics.flatMap((clinic) => clinic.devices.filter((one) => one.driftPerYear !== undefined))
  const read = clinics.flatMap((clinic) => clinic.devices.filter((one) => one.readBy !== undefined))
  return [
    `- Recall differs between clinics: every ${clinics.map(({ id, recall }) => `${recall.intervalDays} days at ${id} (${formatPercent(recall.attendance)} come)`).join(', ')}.`,
    `- The tick for the check of the screw is left blank, whatever was found, at ${clinics.map(({ id, recall }) => `${formatPercent(recall.tickBlank)} of visits at ${id}`).join(', ')}.`,
    ...clinics
      .filter(({ chartOnly }) => chartOnly !== undefined)
      .map(
        ({ id, chartOnly }) =>
          `- ${id} wrote down the group without the tightenings in another ${formatPercent(chartOnly!)}.`,
      ),
    `- The achieved torque is read by another instrument at ${read.map(({ id, readBy }) => `${id} (by ${readBy})`).join(' and ')}.`,
    ...drifting.map(
      ({ id, driftPerYear, firstCalibration }) =>
        `- ${id} was not calibrated after ${firstCalibration} and drifts by ${formatPercent(driftPerYear!)} a year; the other devices are steady. Torque acts on nothing in these data.`,
    ),
  ]
}

function choiceLines(scenario: DemoScenario): readonly string[] {
  const changed = scenario.clinics.filter((clinic) => clinic.protocolChange !== undefined)
  const late = scenario.clinics.filter((clinic) => clinic.observationStart !== undefined)
  return [
    `- Choice of protocol: operators prefer one or the other, and tighten again more often in molars (odds ratio ${formatRatio(scenario.choice.molar)}) and in probable or definite bruxism (${formatRatio(scenario.choice.bruxism)}). In clinics whose reason is the maker's instruction it depends on the component system.`,
    ...changed.map(
      ({ id, protocolChange }) =>
        `- ${id} changed its protocol on ${protocolChange!.date}: tightened again in ${formatPercent(protocolChange!.before)} before and ${formatPercent(protocolChange!.after)} from then on.`,
    ),
    ...late.map(
      ({ id, observationStart }) =>
        `- ${id} recorded findings from ${observationStart} on, and took up what was still in care and not known to have loosened (left truncation).`,
    ),
  ]
}

function ratios(weights: Readonly<Record<string, number>>): string {
  return Object.entries(weights)
    .map(([label, ratio]) => `${label} ${formatRatio(ratio)}`)
    .join(', ')
}

function mistakesPart(truth: DemoTruth): readonly string[] {
  return [
    '## Mistakes made on purpose',
    '',
    'Fewer than 1% of the rows hold mistakes of the kind that practices make. `expectedMistakes` in truth.json names the rows, those that go down with them included.',
    '',
    '| mistake | rows concerned |',
    '|---|---|',
    ...mistakeKinds.map(
      (kind) => `| ${kind} | ${truth.expectedMistakes.filter((one) => one.kind === kind).length} |`,
    ),
    '',
  ]
}

function dictionary(): readonly string[] {
  return ['## Data dictionary', '', ...demoSheets.flatMap(sheetPart)]
}

function sheetPart(sheet: SheetName): readonly string[] {
  const known = new Set(demoFields('restorations').map((field) => field.name))
  const fields = demoFields(sheet).filter((field) => sheet !== 'one_sheet' || !known.has(field.name))
  return [
    `### ${demoFiles[sheet]}`,
    '',
    ...(sheet === 'one_sheet' ? ['The fields of restorations.csv, and:', ''] : []),
    '| field | what it says | unit, or allowed values |',
    '|---|---|---|',
    ...fields.map((field) => `| ${field.name} | ${field.description} | ${allowed(field)} |`),
    '',
  ]
}

function allowed(field: Field): string {
  if (field.codes !== undefined) return field.codes.join(', ')
  if (field.unit !== undefined && field.range !== undefined) {
    return `${field.unit}, ${field.range.min} to ${field.range.max}`
  }
  if (field.kind === 'date') return 'YYYY-MM-DD'
  return field.unit ?? ''
}
