import { stableJson } from '../core/plain.js'
import type { Field, FieldKind, SheetName } from '../vocabulary/fields.js'
import type { DemoSettings } from './settings.js'
import { demoFields, demoFiles, demoSheets } from './tables.js'
import { demoTitle } from './truth.js'

/** Size and content of a written file, as the Data Package standard states them. */
export interface WrittenFile {
  readonly bytes: number
  /** Hexadecimal SHA-256. */
  readonly sha256: string
}

/** Name by which a folder of demo data is known again. */
export const demoPackageName = 'holdfast-demo-data'

const typeOfKind: Readonly<Record<FieldKind, string>> = {
  key: 'string',
  text: 'string',
  code: 'string',
  position: 'string',
  whole: 'integer',
  day: 'integer',
  number: 'number',
  date: 'date',
}

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
    schema: {
      $schema: 'https://datapackage.org/profiles/2.0/tableschema.json',
      fields: demoFields(sheet).map(fieldOf),
      missingValues: ['', 'unknown'],
      ...keysOf(sheet),
    },
  }
}

function keysOf(sheet: SheetName): object {
  if (sheet === 'restorations' || sheet === 'one_sheet') return { primaryKey: ['restoration_id'] }
  const reference = { resource: 'restorations', fields: ['restoration_id'] }
  return { foreignKeys: [{ fields: ['restoration_id'], reference }] }
}

function fieldOf(field: Field): unknown {
  const constraints = {
    ...(field.valueNeeded ? { required: true } : {}),
    ...(field.codes === undefined ? {} : { enum: field.codes }),
    ...(field.range === undefined ? {} : { minimum: field.range.min, maximum: field.range.max }),
  }
  return {
    name: field.name,
    type: typeOfKind[field.kind],
    description: field.description,
    ...(field.unit === undefined ? {} : { unit: field.unit }),
    ...(Object.keys(constraints).length === 0 ? {} : { constraints }),
  }
}
