import { existsSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

/** What is needed of the compiler that the kernel carries. */
export interface Compiler {
  createSourceFile(name: string, text: string, target: number, withParents?: boolean): SyntaxNode
  forEachChild(node: SyntaxNode, visit: (child: SyntaxNode) => void): void
  readonly ScriptTarget: { readonly Latest: number }
  readonly SyntaxKind: Readonly<Record<string, number>>
}

/** A node of a parsed text, as far as it is looked at. */
export interface SyntaxNode {
  readonly kind: number
  readonly pos: number
  readonly end: number
  readonly text?: string
  readonly parent?: SyntaxNode
  readonly name?: SyntaxNode
  readonly propertyName?: SyntaxNode
  readonly statements?: readonly SyntaxNode[]
  readonly moduleSpecifier?: SyntaxNode
  readonly exportClause?: SyntaxNode
  readonly elements?: readonly SyntaxNode[]
  readonly importClause?: SyntaxNode
  readonly namedBindings?: SyntaxNode
  readonly objectAssignmentInitializer?: unknown
  readonly modifiers?: readonly SyntaxNode[]
  readonly declarationList?: { readonly declarations: readonly SyntaxNode[] }
  getStart(): number
}

/** Where a name of the front door is declared, and the name under which it stands there. */
export interface DoorName {
  /** Path of the module, without an ending. */
  readonly module: string
  readonly exported: string
}

/** The name under which cells import the toolkit. */
export const packageName = 'holdfast'

const doorModule = fileURLToPath(new URL('../index', import.meta.url))
const statisticsModule = fileURLToPath(new URL('../statistics/index', import.meta.url))
const notebookModule = fileURLToPath(new URL('./index', import.meta.url))
const doors: readonly unknown[] = [packageName, `${packageName}/statistics`]

/** The names as the build writes them down, by paths from its folder: to read all declarations takes a kernel a third of a second. */
const writtenDown = fileURLToPath(new URL('./doorNames.json', import.meta.url))

/** The names of the front door as the build wrote them down; read from the declarations where it did not. */
export function frontDoor(compiler: Compiler): ReadonlyMap<string, DoorName> {
  if (!existsSync(writtenDown)) return doorFromDeclarations(compiler)
  const names = JSON.parse(readFileSync(writtenDown, 'utf8')) as readonly (readonly [string, DoorName])[]
  return new Map(
    names.map(([name, { module, exported }]) => [
      name,
      { module: join(dirname(writtenDown), module), exported },
    ]),
  )
}

/**
 * Every name that cells have without an import list: those of `holdfast`, of the notebook room (`openPlan`), and of
 * `holdfast/statistics`, with the module that declares each. A cell that uses one loads that module and what it needs, not the whole toolkit.
 *
 * @param compiler the compiler that the kernel carries, or another
 */
export function doorFromDeclarations(compiler: Compiler): ReadonlyMap<string, DoorName> {
  return new Map([statisticsModule, notebookModule, doorModule].flatMap((one) => [...namesOf(compiler, one)]))
}

/** Names of a compiled module without an ending, with its declarations (`.d.ts`) beside it. */
function namesOf(compiler: Compiler, module: string): ReadonlyMap<string, DoorName> {
  const names = new Map<string, DoorName>()
  const text = readFileSync(`${module}.d.ts`, 'utf8')
  const { statements = [] } = compiler.createSourceFile('door.d.ts', text, compiler.ScriptTarget.Latest)
  for (const statement of statements) {
    const from = statement.moduleSpecifier?.text
    if (statement.kind !== compiler.SyntaxKind.ExportDeclaration) {
      for (const name of declaredNames(compiler, statement)) names.set(name, { module, exported: name })
    } else if (from !== undefined) {
      const target = join(dirname(module), from.replace(/\.js$/, ''))
      const within = namesOf(compiler, target)
      for (const [shown, exported] of reExported(statement, within)) {
        const found = within.get(exported)
        names.set(shown, found ?? { module: target, exported })
      }
    }
  }
  return names
}

/** Names that a statement passes on, as they are shown and as they are called where they come from. */
function reExported(
  { exportClause }: SyntaxNode,
  within: ReadonlyMap<string, DoorName>,
): readonly (readonly [string, string])[] {
  if (exportClause?.elements === undefined) return [...within.keys()].map((name) => [name, name] as const)
  return exportClause.elements.map(({ name, propertyName }) => {
    const shown = String(name?.text)
    return [shown, propertyName?.text ?? shown] as const
  })
}

function declaredNames({ SyntaxKind }: Compiler, statement: SyntaxNode): readonly string[] {
  const exported = statement.modifiers?.some(({ kind }) => kind === SyntaxKind.ExportKeyword) === true
  if (!exported) return []
  const declared = statement.declarationList?.declarations ?? [statement]
  return declared.flatMap(({ name }) => (name?.text === undefined ? [] : [name.text]))
}

/** The words of a cell that could be names, properties and labels among them. */
export function wordsOf(compiler: Compiler, code: string): ReadonlySet<string> {
  const words = new Set<string>()
  const visit = (node: SyntaxNode): void => {
    if (node.kind === compiler.SyntaxKind.Identifier && node.text !== undefined) words.add(node.text)
    compiler.forEachChild(node, visit)
  }
  visit(compiler.createSourceFile('cell.ts', code, compiler.ScriptTarget.Latest))
  return words
}

/**
 * A cell without its import lists of the toolkit whose names are ready anyway; the places of everything else stay. A
 * list with a name that there is not, or that is given another one, stays, so that the compiler can speak of it.
 *
 * @param isReady whether a name is ready in every cell
 */
export function withoutReadyImports(
  compiler: Compiler,
  code: string,
  isReady: (name: string) => boolean,
): string {
  if (!code.includes(packageName)) return code
  const { statements = [] } = compiler.createSourceFile('cell.ts', code, compiler.ScriptTarget.Latest, true)
  let left = code
  for (const statement of statements) {
    const elements = statement.importClause?.namedBindings?.elements
    if (!doors.includes(statement.moduleSpecifier?.text) || statement.importClause?.name !== undefined)
      continue
    const ready = elements?.every(
      ({ name, propertyName }) => propertyName === undefined && isReady(String(name?.text)),
    )
    if (ready !== true) continue
    const start = statement.getStart()
    const blank = code.slice(start, statement.end).replace(/[^\n]/g, ' ')
    left = left.slice(0, start) + blank + left.slice(statement.end)
  }
  return left
}
