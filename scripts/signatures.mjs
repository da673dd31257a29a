// Writes src/statistics/kernel/signatures.ts: what every public estimator takes, read from its TypeScript types, so
// that what is checked at run time can never differ from what is declared. With --check it only compares.
import { readFileSync, writeFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import ts from 'typescript'

const root = join(import.meta.dirname, '..')
const target = join(root, 'src/statistics/kernel/signatures.ts')
const door = join(root, 'src/statistics/index.ts')

/** Types that say what a column holds: rows of one call have one length. */
const columns = {
  NumberColumn: { is: 'column' },
  AmountColumn: { is: 'column', holds: 'amounts' },
  EventColumn: { is: 'column', holds: 'events' },
  CauseColumn: { is: 'column', holds: 'causes' },
  CodeColumn: { is: 'labels' },
  CovariateColumn: { is: 'covariate' },
  HoledColumn: { is: 'column-with-holes' },
  EndlessColumn: { is: 'column-without-end' },
}

const config = ts.getParsedCommandLineOfConfigFile(
  join(root, 'tsconfig.json'),
  {},
  { ...ts.sys, onUnRecoverableConfigFileDiagnostic: (fault) => console.error(fault.messageText) },
)
/** What other functions answer, of which only a part is read. */
const answers = new Set(['PoolableFit'])

const program = ts.createProgram([door], config.options)
const checker = program.getTypeChecker()

/** The function that a front-door constant wraps, or undefined where the export is no checked function. */
function wrapped(symbol) {
  const declaration = symbol.valueDeclaration
  if (declaration === undefined || !ts.isVariableDeclaration(declaration)) return undefined
  const call = declaration.initializer
  if (call === undefined || !ts.isCallExpression(call) || call.expression.getText() !== 'checked')
    return undefined
  return call.arguments[1]
}

function shapeOf(type, node, where) {
  const named = node === undefined ? undefined : namedColumn(node)
  if (named !== undefined) return named
  const parts = (type.isUnion() ? type.types : [type]).filter(
    (part) => !(part.flags & ts.TypeFlags.Undefined),
  )
  if (parts.every((part) => part.flags & ts.TypeFlags.BooleanLike)) return { is: 'flag' }
  if (parts.every((part) => part.isStringLiteral() || part.isNumberLiteral())) {
    return { is: 'one-of', values: parts.map((part) => part.value) }
  }
  if (parts.length > 1 && parts.every((part) => part.isStringLiteral() || part.flags & ts.TypeFlags.Object)) {
    const literals = parts.filter((part) => part.isStringLiteral())
    const rest = parts.filter((part) => !part.isStringLiteral()).map((part) => single(part, undefined, where))
    if (rest.every((one) => JSON.stringify(one) === JSON.stringify(rest[0])) && literals.length === 0)
      return rest[0]
    if (literals.length === 0) return { is: 'either', of: rest }
    return { is: 'either', of: [{ is: 'one-of', values: literals.map((part) => part.value) }, ...rest] }
  }
  if (parts.length > 1) {
    return { is: 'either', of: parts.map((part) => single(part, undefined, where)) }
  }
  return single(parts[0], node, where)
}

function namedColumn(node) {
  if (ts.isUnionTypeNode(node)) {
    const rest = node.types.filter((one) => one.kind !== ts.SyntaxKind.UndefinedKeyword)
    return rest.length === 1 ? namedColumn(rest[0]) : undefined
  }
  return ts.isTypeReferenceNode(node) ? columns[node.typeName.getText()] : undefined
}

function single(type, node, where) {
  if (type.flags & (ts.TypeFlags.Unknown | ts.TypeFlags.Any)) return { is: 'anything' }
  if (type.flags & ts.TypeFlags.NumberLike) return { is: 'number' }
  if (type.flags & ts.TypeFlags.StringLike) return { is: 'text' }
  if (type.flags & ts.TypeFlags.BooleanLike) return { is: 'flag' }
  if (type.getCallSignatures().length > 0) return { is: 'function' }
  const name = type.symbol?.name
  if (answers.has(name)) return { is: 'result', needs: needed(type).map((one) => one.name) }
  if (checker.isTupleType(type)) {
    return { is: 'tuple', of: checker.getTypeArguments(type).map((one) => shapeOf(one, undefined, where)) }
  }
  if (checker.isArrayType(type) || name === 'ArrayLike') {
    const [element] = checker.getTypeArguments(type)
    return { is: 'list', of: shapeOf(element, elementNode(node), where) }
  }
  if (name === 'Float64Array' || name === 'Int32Array' || name === 'Uint16Array')
    return { is: 'list', of: { is: 'number' } }
  const byName = checker.getIndexInfosOfType(type)
  if (byName.length > 0) {
    const info = byName[0]
    return { is: 'record', of: shapeOf(info.type, info.declaration?.type ?? recordNode(node), where) }
  }
  if (
    checker.getPropertyOfType(type, 'method') !== undefined &&
    checker.getPropertyOfType(type, 'reference') !== undefined
  ) {
    return { is: 'result', needs: needed(type).map((one) => one.name) }
  }
  if (type.flags & ts.TypeFlags.Object || type.isIntersection()) return objectOf(type, where)
  throw new Error(`${where}: no shape for ${checker.typeToString(type)}`)
}

function needed(type) {
  return checker.getPropertiesOfType(type).filter((one) => !(one.flags & ts.SymbolFlags.Optional))
}

function elementNode(node) {
  let inner = node
  while (inner !== undefined && ts.isTypeOperatorNode(inner)) inner = inner.type
  if (inner !== undefined && ts.isArrayTypeNode(inner)) return inner.elementType
  return inner !== undefined && ts.isTypeReferenceNode(inner) ? inner.typeArguments?.[0] : undefined
}

/** The value type of Readonly<Record<string, X>>, as written, where an alias was written. */
function recordNode(node) {
  let found = node
  for (let hop = 0; hop < 4 && found !== undefined && ts.isTypeReferenceNode(found); hop++) {
    const name = found.typeName.getText()
    if (name === 'Record') return found.typeArguments?.[1]
    if (name === 'Readonly') found = found.typeArguments?.[0]
    else {
      const symbol = checker.getSymbolAtLocation(found.typeName)
      const real = symbol && symbol.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol
      found = real?.declarations?.[0]?.type
    }
  }
  return undefined
}

function objectOf(type, where) {
  const fields = {}
  for (const property of checker.getPropertiesOfType(type)) {
    const node = property.declarations?.[0]?.type
    const own = checker.getTypeOfSymbol(property)
    const shape = shapeOf(own, node, `${where}.${property.name}`)
    if (shape.is === 'number' && property.name === 'level') shape.holds = 'level'
    // A key that is always there may still hold nothing.
    const nothing = own.isUnion() && own.types.some((part) => (part.flags & ts.TypeFlags.Undefined) !== 0)
    const optional = nothing || (property.flags & ts.SymbolFlags.Optional) !== 0
    fields[property.name] = optional ? { ...shape, optional: true } : shape
  }
  return { is: 'object', fields }
}

/** Types that name a column through another name, such as the covariates of a model. */
function parameterShape(parameter, name) {
  const where = `${name}(${parameter.name.getText()})`
  const type = checker.getTypeAtLocation(parameter)
  const named = parameter.type === undefined ? undefined : namedColumn(parameter.type)
  const shape = named ?? shapeOf(type, parameter.type, where)
  if (shape.is === 'number' && parameter.name.getText() === 'level') shape.holds = 'level'
  const optional = parameter.initializer !== undefined || parameter.questionToken !== undefined
  return { name: parameter.name.getText(), ...shape, ...(optional ? { optional: true } : {}) }
}

const entries = checker
  .getExportsOfModule(checker.getSymbolAtLocation(program.getSourceFile(door)))
  .map((symbol) => (symbol.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol))
  .map((symbol) => [symbol.name, wrapped(symbol)])
  .filter(([, one]) => one !== undefined)
  .sort(([a], [b]) => (a < b ? -1 : 1))
  .map(([name, one]) => [name, one.parameters.map((parameter) => parameterShape(parameter, name))])

const text = `// Made by scripts/signatures.mjs from the types of the functions; not written by hand.
import type { Signature } from '../../core/checked.js'

/** What each public function takes, parameter by parameter. */
export const signatures: Readonly<Record<string, Signature>> = ${'{\n' + entries.map(([name, shape]) => `  ${name}: ${JSON.stringify(shape)},`).join('\n') + '\n}'}
`
if (process.argv.includes('--check')) {
  if (readFileSync(target, 'utf8') !== text) {
    console.error(`${relative(root, target)} is out of date: run node scripts/signatures.mjs`)
    process.exit(1)
  }
} else {
  writeFileSync(target, text)
  console.log(`${entries.length} functions written to ${relative(root, target)}`)
}
