import { stableJson } from '../../core/plain.js'
import { type Field, type FieldKind, fieldOf, type SheetName } from '../../vocabulary/fields.js'

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

const titles: Readonly<Record<SheetName, string>> = {
  restorations: 'One row per crown or prosthesis on its screw joint.',
  tightenings: 'One row per application of torque.',
  visits: 'One row per restoration, visit and finding.',
  one_sheet: 'One row per restoration, with what happened to it.',
}

/** A table of a data package: which sheet it is, its file, and its columns. */
export interface PackagedTable {
  readonly sheet: SheetName
  readonly path: string
  readonly columns: readonly string[]
}

/** What a data package says beyond its tables. */
export interface PackageHeading {
  /** Lower case, digits and hyphens. */
  readonly name: string
  readonly title: string
  readonly description?: string
  /** local, shareable, date-shifted or template; read back by the toolkit. */
  readonly state?: string
  readonly generated?: boolean
}

/** The data package (Data Package and Table Schema 2.0) of tables in the form of the data dictionary, as JSON text. */
export function dataPackageText(heading: PackageHeading, tables: readonly PackagedTable[]): string {
  const content = {
    $schema: 'https://datapackage.org/profiles/2.0/datapackage.json',
    ...heading,
    resources: tables.map((table) => ({
      name: table.sheet.replace('_', '-'),
      title: titles[table.sheet],
      path: table.path,
      type: 'table',
      format: 'csv',
      mediatype: 'text/csv',
      encoding: 'utf-8',
      schema: tableSchema(table.sheet, table.columns),
    })),
  }
  return `${stableJson(content, 2)}\n`
}

/** The Table Schema of a sheet with some of its columns: names, types, units, allowed values and keys. */
export function tableSchema(sheet: SheetName, columns: readonly string[]): unknown {
  const linked = sheet === 'visits' || sheet === 'tightenings'
  const key = !linked && columns.includes('restoration_id') ? { primaryKey: ['restoration_id'] } : {}
  const foreign = {
    fields: ['restoration_id'],
    reference: { resource: 'restorations', fields: ['restoration_id'] },
  }
  return {
    $schema: 'https://datapackage.org/profiles/2.0/tableschema.json',
    fields: columns.map((name) => fieldSchema(fieldOf(sheet, name)!)),
    missingValues: ['', 'unknown'],
    ...key,
    ...(linked ? { foreignKeys: [foreign] } : {}),
  }
}

function fieldSchema(field: Field): unknown {
  const { name, kind, description, unit, codes, range } = field
  const constraints = {
    ...(field.valueNeeded ? { required: true } : {}),
    ...(codes === undefined ? {} : { enum: codes }),
    ...(range === undefined || field.faulty === 'keep' ? {} : { minimum: range.min, maximum: range.max }),
  }
  return {
    name,
    type: typeOfKind[kind],
    description,
    ...(unit === undefined ? {} : { unit }),
    ...(Object.keys(constraints).length === 0 ? {} : { constraints }),
  }
}
