import { captionedTable, type TableParts } from '../captioned.js'
import type { Table } from '../document.js'
import { type DescribingCaption, describingLabels } from '../wording.js'

/** A table that describes, by its name. */
export function describingTable(id: DescribingCaption, parts: TableParts): Table {
  return captionedTable(id, describingLabels.captions[id], parts)
}
