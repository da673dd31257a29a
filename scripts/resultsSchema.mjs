/**
 * Makes docs/schema/results.schema.json from the type `PublishedResults`, and answer.schema.json from the type `Answer`:
 * what the compiler knows of them is what the schema says of them, docstrings included. Run it after a change of the
 * types; a test makes them again.
 *
 *   node scripts/resultsSchema.mjs                  writes both files
 *   node scripts/resultsSchema.mjs --print          prints that of the results
 *   node scripts/resultsSchema.mjs --print answer   prints that of the answer
 */
import { writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import ts from 'typescript'

const root = resolve(import.meta.dirname, '..')
const shapes = [
  ['results', 'src/documents/publishedResults.ts', 'PublishedResults', 'Results of a report'],
  ['answer', 'src/questions/answer/shape.ts', 'Answer', 'Answer of an audit'],
]
const { options } = ts.parseJsonConfigFileContent(
  ts.readConfigFile(join(root, 'tsconfig.json'), ts.sys.readFile).config,
  ts.sys,
  root,
)
const program = ts.createProgram(
  shapes.map(([, source]) => join(root, source)),
  options,
)
const checker = program.getTypeChecker()
let file
let definitions
let namesTaken

const asked = process.argv[process.argv.indexOf('--print') + 1] ?? 'results'
for (const [name, source, type, title] of shapes) {
  if (process.argv.includes('--print') && name !== asked) continue
  const text = schemaText(join(root, source), type, title)
  if (process.argv.includes('--print')) process.stdout.write(text)
  else writeFileSync(join(root, `docs/schema/${name}.schema.json`), text)
}

/** The schema of an exported type as JSON text. */
function schemaText(source, type, title) {
  file = program.getSourceFile(source)
  definitions = new Map()
  namesTaken = new Map()
  const published = checker
    .getExportsOfModule(checker.getSymbolAtLocation(file))
    .find((symbol) => symbol.name === type)
  const schema = {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title,
    ...schemaOf(checker.getDeclaredTypeOfSymbol(published)),
    $defs: Object.fromEntries([...definitions].sort(([left], [right]) => (left < right ? -1 : 1))),
  }
  return `${JSON.stringify(schema, undefined, 1)}\n`
}

/** Numbers by size, texts by their characters. */
function inOrder(left, right) {
  return left < right ? -1 : left > right ? 1 : 0
}

/** Schema of a type; named objects become definitions, each once. */
function schemaOf(type) {
  if (type.aliasSymbol?.name === 'MethodTerm') return termReference(type)
  if (type.isUnion()) return unionSchema(type)
  if (type.flags & ts.TypeFlags.StringLiteral || type.flags & ts.TypeFlags.NumberLiteral)
    return { const: type.value }
  if (type.flags & ts.TypeFlags.BooleanLiteral) return { const: checker.typeToString(type) === 'true' }
  if (type.flags & ts.TypeFlags.String) return { type: 'string' }
  if (type.flags & ts.TypeFlags.Number) return { type: 'number' }
  if (type.flags & ts.TypeFlags.Boolean) return { type: 'boolean' }
  if (type.flags & ts.TypeFlags.Null) return { type: 'null' }
  if (checker.isTupleType(type)) {
    const items = checker.getTypeArguments(type).map(schemaOf)
    return { type: 'array', prefixItems: items, minItems: items.length, maxItems: items.length }
  }
  if (checker.isArrayType(type)) return { type: 'array', items: schemaOf(checker.getTypeArguments(type)[0]) }
  if (type.flags & (ts.TypeFlags.Object | ts.TypeFlags.Intersection)) return objectReference(type)
  throw new Error(`no schema is known for ${checker.typeToString(type)}`)
}

/** The terms of methods are many and stand in every estimate: they are listed once. */
function termReference(type) {
  const { name } = type.aliasSymbol
  if (!definitions.has(name)) {
    definitions.set(name, {})
    definitions.set(name, { description: documentation(type.aliasSymbol), ...termSchema(type) })
  }
  return { $ref: `#/$defs/${name}` }
}

/** Codes that stand alone are one list; a code with parameters is an object of its own. */
function termSchema({ types }) {
  const codes = types.filter((one) => one.isLiteral()).map((one) => one.value)
  const objects = types
    .filter((one) => !one.isLiteral())
    .map(objectSchema)
    .sort((left, right) => inOrder(left.properties.code.const, right.properties.code.const))
  return { anyOf: [{ enum: codes.sort(inOrder) }, ...objects] }
}

function unionSchema(type) {
  const parts = type.types.filter((one) => !(one.flags & ts.TypeFlags.Undefined))
  if (parts.every((one) => one.flags & ts.TypeFlags.BooleanLiteral) && parts.length === 2)
    return { type: 'boolean' }
  // The compiler orders the members of a union by when it first met them, which changes with any file of the program.
  if (parts.every((one) => one.isLiteral())) return { enum: parts.map((one) => one.value).sort(inOrder) }
  const named = new Map(parts.map((one) => [checker.typeToString(one), one]))
  const schemas = [...named.keys()].sort().map((name) => schemaOf(named.get(name)))
  return schemas.length === 1 ? schemas[0] : { anyOf: schemas }
}

function objectReference(type) {
  const symbol = type.aliasSymbol ?? type.getSymbol()
  const named = symbol !== undefined && !['__type', '__object'].includes(symbol.name)
  if (
    !named ||
    symbol.name === 'Record' ||
    symbol.name === 'Readonly' ||
    type.aliasTypeArguments !== undefined
  ) {
    return objectSchema(type)
  }
  const name = nameOf(symbol)
  if (!definitions.has(name)) {
    definitions.set(name, {})
    const description = documentation(symbol)
    definitions.set(name, { ...(description === '' ? {} : { description }), ...objectSchema(type) })
  }
  return { $ref: `#/$defs/${name}` }
}

/** The name of a type; a second type of the same name gets a number. */
function nameOf(symbol) {
  const owners = namesTaken.get(symbol.name) ?? []
  if (!owners.includes(symbol)) owners.push(symbol)
  namesTaken.set(symbol.name, owners)
  const position = owners.indexOf(symbol)
  return position === 0 ? symbol.name : `${symbol.name}${position + 1}`
}

function objectSchema(type) {
  const properties = {}
  const required = []
  for (const property of checker.getPropertiesOfType(type)) {
    const own = checker.getTypeOfSymbolAtLocation(property, file)
    const mayLack =
      (property.flags & ts.SymbolFlags.Optional) !== 0 ||
      (own.isUnion() && own.types.some((one) => one.flags & ts.TypeFlags.Undefined))
    const description = documentation(property)
    properties[property.name] = { ...schemaOf(own), ...(description === '' ? {} : { description }) }
    if (!mayLack) required.push(property.name)
  }
  const index = checker.getIndexTypeOfType(type, ts.IndexKind.String)
  return {
    type: 'object',
    ...(Object.keys(properties).length === 0 ? {} : { properties }),
    ...(required.length === 0 ? {} : { required }),
    // An estimate may tell more than the shape that all estimates share.
    additionalProperties:
      index === undefined ? 'method' in properties && 'reference' in properties : schemaOf(index),
  }
}

function documentation(symbol) {
  return ts.displayPartsToString(symbol.getDocumentationComment(checker)).replace(/\s+/g, ' ').trim()
}
