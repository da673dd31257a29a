import type { MethodParameters } from './codes.js'
import { deepFreeze } from './plain.js'

/** Codes of the terms that names of methods are made of, worded in the messages under `method.…`. */
export type MethodCode = keyof MethodParameters

/** A term that stands by its code alone. */
export type PlainMethodTerm = {
  [Code in MethodCode]: keyof MethodParameters[Code] extends never ? Code : never
}[MethodCode]

/** A term together with what its words need: numbers, such as how many knots a spline has. */
export type MethodTermWithParameters = {
  [Code in Exclude<MethodCode, PlainMethodTerm>]: {
    readonly code: Code
    readonly parameters: MethodParameters[Code]
  }
}[Exclude<MethodCode, PlainMethodTerm>]

/** One term of the name of a method: a code, or a code with parameters. */
export type MethodTerm = PlainMethodTerm | MethodTermWithParameters

/** Name of a method: its terms, each of which has words of its own. A name is composed from others by their terms. */
export type MethodName = readonly MethodTerm[]

/**
 * The name of a method, of terms that the compiler knows.
 *
 * @example methodOf('product-limit', 'greenwood-variance').length // => 2
 */
export function methodOf(...terms: readonly MethodTerm[]): MethodName {
  return Object.freeze(terms)
}

/** A term that says more than its code: the number of knots, the bounds of a trimming. */
export function term<Code extends MethodTermWithParameters['code']>(
  code: Code,
  parameters: MethodParameters[Code],
): MethodTermWithParameters {
  return deepFreeze({ code, parameters }) as MethodTermWithParameters
}

/** Whether a name holds a term. */
export function hasTerm(method: MethodName, code: MethodCode): boolean {
  return method.some((one) => codeOf(one) === code)
}

/** A name with another term in the place of one. */
export function withTerm(method: MethodName, replaced: PlainMethodTerm, by: MethodTerm): MethodName {
  return methodOf(...method.map((one) => (one === replaced ? by : one)))
}

/** A name without a term; a name of that term alone stays, for nothing has no words. */
export function withoutTerm(method: MethodName, left: PlainMethodTerm): MethodName {
  const rest = method.filter((one) => one !== left)
  return rest.length === 0 ? method : methodOf(...rest)
}

/** The code of a term. */
export function codeOf(one: MethodTerm): MethodCode {
  return typeof one === 'string' ? one : one.code
}

/** Results by the method that they name and the page that tells of it, each pair once. */
export function oncePerMethod<Named extends { readonly method: MethodName; readonly reference: string }>(
  results: readonly Named[],
): readonly Named[] {
  const keyed = results.map((one) => [JSON.stringify([one.method, one.reference]), one] as const)
  return [...new Map(keyed).values()]
}
