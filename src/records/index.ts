export * from './columns.js'
export { type Correction, readCorrections } from './corrections.js'
export * from './dataset.js'
export { type DeidentifyOptions, type DeidentifyResult, deidentify } from './deidentify.js'
export { confirmColumnMap, type MapProposal, mapColumns, saveColumnMap } from './mapColumns.js'
export {
  type MergedYears,
  mergeYears,
  type WriteMergedOptions,
  writeMergedYears,
  type YearComparison,
} from './mergeYears.js'
export { problemInWords, RecordsRefused, rowsInWords } from './problems.js'
export * from './readDataset.js'
export { readShareable } from './readShareable.js'
export { type RecallEntry, type RecallList, type RecallOptions, recallList } from './recallList.js'
export {
  type Field,
  type FieldKind,
  fieldOf,
  type SheetName,
  sheetFields,
  tableNames,
} from './schema.js'
export type { Anonymity } from './sharing/anonymity.js'
export type { DeliveryPeriod } from './sharing/shareableTables.js'
export type { ColumnMap, MappedColumn, MappedSheet } from './understanding/columnMap.js'
export { readColumnMap } from './understanding/findColumnMap.js'
export { type TemplateOptions, type WrittenTemplate, writeTemplate } from './writeTemplate.js'
