import { type ReferenceTable, readReferenceCases } from '../../src/verification/referenceCase.js'

const cases = readReferenceCases(new URL('../reference', import.meta.url).pathname)

/** The table of a reference case, by the case's id. */
export function referenceTable(id: string): ReferenceTable {
  const found = cases.find((one) => one.id === id)
  if (found === undefined) throw new Error(`no reference case ${id}`)
  return found.table()
}
