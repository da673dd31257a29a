import type { AuditResult } from '../../questions/audit.js'
import { captionedTable, type TableParts } from '../model/captioned.js'
import type { Citations } from '../model/citation.js'
import type { Table } from '../model/document.js'
import { type TableName, tableCaption } from '../wording/index.js'

/** What every section is made from. */
export interface SectionContext {
  readonly audit: AuditResult
  readonly cite: Citations
  readonly version: string
}

/** A table by its name. */
export function table(id: TableName, { cite }: Pick<SectionContext, 'cite'>, parts: TableParts): Table {
  return captionedTable(id, tableCaption(id, cite), parts)
}
