export { type AuditKind, auditKindNames } from './auditKindNames.js'
export { type WriteChangesOptions, writeChangeReport } from './changeReport.js'
export { neededInLines } from './neededReport.js'
export { type ListedField, proposalDocument } from './proposalDocument.js'
export { type WriteProposalOptions, writeProposal } from './proposalReport.js'
export { readAuditResults, type StoredAudit } from './readAuditResults.js'
export { watchInLines } from './watchReport.js'
export {
  type AuditReportOptions,
  auditInThreeLines,
  type WriteReportOptions,
  type WrittenReport,
  writeAuditReport,
} from './writeReport.js'
