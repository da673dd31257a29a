import { unknownName } from '../core/names.js'

/** Causes that end the time in which an endpoint could happen, in the order of every table. */
export const competingCauses = ['implant loss', 'removed or remade', 'death'] as const

/** One competing cause. */
export type CompetingCause = (typeof competingCauses)[number]

/** Kinds of visit; only in person can something be found that nobody told. */
export const visitTypes = {
  scheduled: { inPerson: true },
  unscheduled: { inPerson: true },
  records_only: { inPerson: false },
  telephone: { inPerson: false },
} as const satisfies Readonly<Record<string, { readonly inPerson: boolean }>>

/** Everything that the toolkit knows about one endpoint, but its words (`endpoint.<name>` in the messages). */
export interface EndpointEntry {
  /** Findings that make it up; none where it is read off the status of the restoration. */
  readonly findings: readonly string[]
  /** What would have shown it: a check of the screw, or any visit in person. */
  readonly foundBy: 'screw-check' | 'visit-in-person'
  /** Whether it can happen to one restoration again. */
  readonly repeatable: boolean
  /** Causes of a removal that are the endpoint itself; all others compete with it. Default: none. */
  readonly goneBy?: readonly CompetingCause[]
  /**
   * How often a year the demo data have it and what is done about it, where nothing else in the generator makes it; it
   * brings every second patient in.
   */
  readonly demo?: { readonly perYear: number; readonly action: string }
}

/** The endpoints, in the order of every table. */
export const endpoints = {
  screw_loosening: {
    findings: ['screw_loosening'],
    foundBy: 'screw-check',
    repeatable: true,
  },
  screw_fracture: {
    findings: ['screw_fracture'],
    foundBy: 'screw-check',
    repeatable: true,
  },
  screw_complication: {
    findings: ['screw_loosening', 'screw_fracture'],
    foundBy: 'screw-check',
    repeatable: true,
  },
  loss_of_retention: {
    findings: ['loss_of_retention'],
    foundBy: 'visit-in-person',
    repeatable: true,
  },
  veneer_chipping: {
    findings: ['veneer_chipping'],
    foundBy: 'visit-in-person',
    repeatable: true,
  },
  implant_loss: {
    findings: ['implant_loss'],
    foundBy: 'visit-in-person',
    repeatable: false,
    goneBy: ['implant loss'],
  },
  removal: {
    findings: [],
    foundBy: 'visit-in-person',
    repeatable: false,
    goneBy: ['implant loss', 'removed or remade'],
  },
} as const satisfies Readonly<Record<string, EndpointEntry>>

/** One endpoint. */
export type EndpointName = keyof typeof endpoints

/** The endpoints by name. */
export const endpointNames = Object.freeze(Object.keys(endpoints)) as readonly EndpointName[]

/** Findings that belong to no endpoint. */
const otherFindings = ['abutment_fracture', 'framework_fracture', 'access_filling_loss', 'other'] as const

/** One finding at a visit. */
export type FindingName =
  | 'none'
  | (typeof endpoints)[EndpointName]['findings'][number]
  | (typeof otherFindings)[number]

/** What may be found at a visit. */
export const findingNames: readonly FindingName[] = Object.freeze([
  'none',
  ...new Set<FindingName>(Object.values(endpoints).flatMap((one): readonly FindingName[] => one.findings)),
  ...otherFindings,
])

/**
 * The entry of an endpoint.
 *
 * @throws UsageError `unknown-name` where there is none of that name; it names the nearest
 */
export function endpointOf(name: EndpointName): EndpointEntry {
  if (!Object.hasOwn(endpoints, name)) throw unknownName('endpoint', name, endpointNames)
  return endpoints[name]
}

/** Whether only a check of the screw can find the endpoint. */
export function isScrewEndpoint(name: EndpointName): boolean {
  return endpointOf(name).foundBy === 'screw-check'
}
