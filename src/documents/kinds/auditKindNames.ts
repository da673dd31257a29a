/** Kinds of document that are made from the results of one audit. */
export const auditKindNames = Object.freeze(['audit', 'case-series', 'leaflet'] as const)

/** A kind of document made from the results of one audit. */
export type AuditKind = (typeof auditKindNames)[number]
