import { stableJson } from '../core/plain.js'
import { tableSchema } from '../records/desk/dataPackageText.js'
import type { SheetName } from '../vocabulary/fields.js'
import type { DemoSettings } from './settings.js'
import { demoColumns, demoFiles, demoSheets } from './tables.js'
import { demoTitle } from './truth.js'

/** Size and content of a written file, as the Data Package standard states them. */
export interface WrittenFile {
  readonly bytes: number
  /** Hexadecimal SHA-256. */
  readonly sha256: string
}

/** Name by which a folder of demo data is known again. */
export const demoPackageName = 'holdfast-demo-data'

const descriptions: Readonly<Record<SheetName, string>> = {
  restorations: 'One row per crown or prosthesis on its screw joint.',
  tightenings: 'One row per application of torque.',
  visits: 'One row per restoration, visit and finding.',
  one_sheet: 'The same restorations in the one-sheet form, for practices that keep no linked tables.',
}

/** The data package (Data Package and Table Schema 2.0) of a generated study group, as JSON text. */
export function demoDataPackage(
  settings: DemoSettings,
  files: Readonly<Record<SheetName, WrittenFile>>,
): string {
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
