import type { ListedField } from '../documents/kinds/proposalDocument.js'
import { sheetFields, tableNames } from '../vocabulary/fields.js'

/** Every field of the data dictionary with what it holds, as the draft of a protocol lists them. */
export function dictionaryFields(): readonly ListedField[] {
  return Object.freeze(
    tableNames.flatMap((table) =>
      sheetFields[table].map(({ name, description }) => ({ table, field: name, meaning: description })),
    ),
  )
}
