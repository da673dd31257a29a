export {
  type Field,
  type FieldKind,
  fieldOf,
  type SheetName,
  sheetFields,
  tableNames,
} from '../vocabulary/fields.js'
export * from './columns.js'
export * from './dataset.js'
export {
  type ChangeKind,
  type Kept,
  type MergedVersions,
  type MergeOptions,
  mergeVersions,
  type VersionChange,
} from './desk/mergeVersions.js'
export {
  type FoundLoose,
  type RecallEntry,
  type RecallList,
  type RecallOptions,
  type RecallPatient,
  recallList,
} from './desk/recallList.js'
export { type WriteMergedOptions, writeMerged } from './desk/writeMerged.js'
export { type TemplateOptions, type WrittenTemplate, writeTemplate } from './desk/writeTemplate.js'
export type { Anonymity } from './identities/anonymity.js'
export { type DeidentifyOptions, type DeidentifyResult, deidentify } from './identities/deidentify.js'
export type { DeliveryPeriod } from './identities/shareableTables.js'
export { problemInWords, RecordsRefused, rowsInWords } from './problems.js'
export { type Correction, readCorrections } from './read/corrections.js'
export * from './read/readDataset.js'
export { readShareable } from './read/readShareable.js'
export type { ColumnMap, MappedColumn, MappedSheet } from './understand/columnMap.js'
export { readColumnMap } from './understand/findColumnMap.js'
export { confirmColumnMap, type MapProposal, mapColumns, saveColumnMap } from './understand/mapColumns.js'
