import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'
import ts from 'typescript'

/** What the compiler's own parse of one file shows; nothing is type-checked. */
export interface SourceShape {
  /** Path inside src, such as `statistics/rates.ts`. */
  readonly path: string
  readonly room: string
  /** Files of ours that are imported, in whatever way: static, type, re-export, dynamic, `import('…').Name`. */
  readonly imports: readonly string[]
  /** Packages and modules of Node that are loaded when the file is: no type and no dynamic imports. */
  readonly loads: readonly string[]
  /** Packages and modules of Node that are imported in any way. */
  readonly packages: readonly string[]
  /** `Date.now`, `new Date()`, `performance.now`, `Math.random` and their like. */
  readonly clocksAndChance: readonly string[]
  /** Strings of three or more words of ours that are neither an error's nor a comment. */
  readonly sentences: readonly string[]
  /** Every name and string of the code, comments apart. */
  readonly words: readonly string[]
  /** Calls that take words apart, or look for words in a text: `.replaceAll('_', ' ')`, `.startsWith('also ')`. */
  readonly takenApart: readonly string[]
  /** Calls that treat the name of a method as a text, or as a list by places: `curve.method.split(', ')`. */
  readonly methodsRead: readonly string[]
  /** Additions, subtractions, products and quotients. */
  readonly arithmetic: number
}

export const sourceRoot = resolve(import.meta.dirname, '../src')

/** Shapes of all files of a folder. */
export function readSources(root = sourceRoot): readonly SourceShape[] {
  return (readdirSync(root, { recursive: true }) as string[])
    .filter((name) => name.endsWith('.ts'))
    .sort()
    .map((name) => shapeOf(name, readFileSync(join(root, name), 'utf8')))
}

/** Shape of one file from its text. */
export function shapeOf(path: string, text: string): SourceShape {
  const file = ts.createSourceFile(path, text, ts.ScriptTarget.Latest, true)
  const found = {
    imports: [] as string[],
    loads: [] as string[],
    packages: [] as string[],
    clocksAndChance: [] as string[],
    sentences: [] as string[],
    words: [] as string[],
    takenApart: [] as string[],
    methodsRead: [] as string[],
    arithmetic: 0,
  }
  const specifier = (node: ts.Node | undefined, loaded: boolean): void => {
    if (node === undefined || !ts.isStringLiteralLike(node)) return
    if (node.text.startsWith('.')) {
      found.imports.push(relative('/', resolve('/', dirname(path), node.text.replace(/\.js$/, '.ts'))))
    } else {
      found.packages.push(node.text)
      if (loaded) found.loads.push(node.text)
    }
  }
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node)) specifier(node.moduleSpecifier, !node.importClause?.isTypeOnly)
    else if (ts.isExportDeclaration(node)) specifier(node.moduleSpecifier, !node.isTypeOnly)
    else if (ts.isImportTypeNode(node) && ts.isLiteralTypeNode(node.argument)) {
      specifier(node.argument.literal, false)
    } else if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword) {
      specifier(node.arguments[0], false)
    }
    if (ts.isIdentifier(node)) found.words.push(node.text)
    const clock = clockOrChance(node)
    if (clock !== undefined) found.clocksAndChance.push(clock)
    const sought = soughtWords(node)
    if (sought !== undefined) found.takenApart.push(sought)
    if (readsMethod(node)) found.methodsRead.push(node.getText())
    if (ts.isBinaryExpression(node) && arithmeticSigns.has(node.operatorToken.kind)) found.arithmetic++
    const words = wordsOf(node)
    if (words !== undefined) {
      found.words.push(words)
      const said = isMarkup(node) ? readIn(words) : [words]
      for (const one of said) {
        if (isSentence(one) && !belongsElsewhere(node) && !isSpecifier(node)) found.sentences.push(one)
      }
    }
    ts.forEachChild(node, visit)
  }
  visit(file)
  return { path, room: path.split('/')[0]!, ...found }
}

const arithmeticSigns = new Set([
  ts.SyntaxKind.PlusToken,
  ts.SyntaxKind.MinusToken,
  ts.SyntaxKind.AsteriskToken,
  ts.SyntaxKind.SlashToken,
  ts.SyntaxKind.AsteriskAsteriskToken,
])

/** Text of a string or template; what a template puts in stands as one word. */
function wordsOf(node: ts.Node): string | undefined {
  if (ts.isStringLiteral(node) || ts.isNoSubstitutionTemplateLiteral(node)) return node.text
  if (!ts.isTemplateExpression(node)) return undefined
  return node.head.text + node.templateSpans.map(({ literal }) => `…${literal.text}`).join('')
}

/** Three words that belong together: letters with a space between, twice. */
function isSentence(text: string): boolean {
  return (
    /\p{L}{2,}[,;:]? (?:\p{L}+|…)[,;:]? \p{L}{2,}/u.test(text) || /^\p{Lu}\p{Ll}+ \p{Ll}+ \p{Ll}+/u.test(text)
  )
}

/** Style sheets and scripts of pages are tagged as such. */
function isMarkup({ parent }: ts.Node): boolean {
  return ts.isTaggedTemplateExpression(parent) && ['css', 'script'].includes(parent.tag.getText())
}

/** What people can read of a style sheet or script: quoted text, names of faces apart. */
function readIn(text: string): readonly string[] {
  return [...text.matchAll(/'([^'\n]*)'|content:"([^"\n]*)"/g)].map(([, one, two]) => one ?? two ?? '')
}

function isSpecifier(node: ts.Node): boolean {
  return ts.isImportDeclaration(node.parent) || ts.isExportDeclaration(node.parent)
}

/** What stands in an error (thrown, made, or the detail of one), in a type, or names a scale as docs/methods does, or a face. */
function belongsElsewhere(node: ts.Node): boolean {
  for (let one: ts.Node = node; one.parent !== undefined; one = one.parent) {
    if (ts.isThrowStatement(one) || ts.isTypeNode(one)) return true
    if (ts.isNewExpression(one) && ts.isIdentifier(one.expression) && one.expression.text.endsWith('Error')) {
      return true
    }
    if (ts.isFunctionDeclaration(one)) return /(?:Error|ErrorText(?:\[\])?)$/.test(one.type?.getText() ?? '')
    // What a schema is told to say where a value does not fit stands in an error and nowhere else.
    if (ts.isCallExpression(one) && rootOf(one).getText() === 'z') return true
    if (ts.isVariableDeclaration(one) && /ErrorText(?:\[\])?$/.test(one.type?.getText() ?? '')) return true
    if (ts.isPropertyAssignment(one) && ts.isIdentifier(one.name)) {
      if (['problem', 'expected', 'mend', 'error', 'scale', 'font'].includes(one.name.text)) return true
    }
  }
  return false
}

const takers = [
  'replace',
  'replaceAll',
  'split',
  'startsWith',
  'endsWith',
  'match',
  'matchAll',
  'test',
  'exec',
]

/**
 * What a call looks for in a text, where that is words or what stands between words: a literal or an expression with letters
 * in a row, blanks, underscores, commas. What belongs to an expression and no text (`\s`, `[a-z]`, `(?<name>…)`) does not count.
 */
function soughtWords(node: ts.Node): string | undefined {
  if (!ts.isCallExpression(node) || !ts.isPropertyAccessExpression(node.expression)) return undefined
  const { name, expression } = node.expression
  if (!takers.includes(name.text)) return undefined
  const sought = name.text === 'test' || name.text === 'exec' ? expression : node.arguments[0]
  if (sought === undefined) return undefined
  if (ts.isRegularExpressionLiteral(sought)) {
    const own = sought.text
      .replace(/\/[a-z]*$|^\//g, '')
      .replace(/\[(?:[^\]\\]|\\.)*\]|\\[\s\S](?:\{[^}]*\}|[0-9a-f]{2,4})?|\(\?<?\w*[>:=!]/g, '')
    return /\p{L}{3}|^ | $|_/u.test(own) ? sought.text : undefined
  }
  return ts.isStringLiteralLike(sought) && /\p{L}{3}|[ _]|^, ?$/u.test(sought.text) ? sought.text : undefined
}

const textual = [
  ...takers,
  'includes',
  'indexOf',
  'join',
  'localeCompare',
  'slice',
  'substring',
  'toLowerCase',
]

/** Whether a call takes what is called `method`, or a template says it as it is: a name is a list of terms, for `core/method.ts` to ask. */
function readsMethod(node: ts.Node): boolean {
  const isMethod = (one: ts.Expression): boolean =>
    (ts.isIdentifier(one) && one.text === 'method') ||
    (ts.isPropertyAccessExpression(one) && one.name.text === 'method')
  if (ts.isTemplateSpan(node))
    return ts.isPropertyAccessExpression(node.expression) && isMethod(node.expression)
  if (!ts.isCallExpression(node) || !ts.isPropertyAccessExpression(node.expression)) return false
  const { name, expression } = node.expression
  return textual.includes(name.text) && (isMethod(expression) || node.arguments.some(isMethod))
}

/** The name with which a chain of calls begins. */
function rootOf(node: ts.Expression): ts.Expression {
  if (ts.isCallExpression(node) || ts.isPropertyAccessExpression(node)) return rootOf(node.expression)
  return node
}

const clocks: Readonly<Record<string, readonly string[]>> = {
  Math: ['random'],
  Date: ['now'],
  performance: ['now'],
  process: ['hrtime'],
  crypto: ['randomUUID', 'getRandomValues', 'randomBytes'],
}

function clockOrChance(node: ts.Node): string | undefined {
  if (ts.isPropertyAccessExpression(node) && ts.isIdentifier(node.expression)) {
    const [owner, name] = [node.expression.text, node.name.text]
    if (clocks[owner]?.includes(name) === true) return `${owner}.${name}`
  }
  if (ts.isNewExpression(node) && ts.isIdentifier(node.expression) && (node.arguments?.length ?? 0) === 0) {
    if (node.expression.text === 'Date') return 'new Date()'
  }
  if (ts.isCallExpression(node) && ts.isIdentifier(node.expression)) {
    const { text } = node.expression
    if (['randomUUID', 'randomBytes', 'randomInt'].includes(text)) return text
  }
  return undefined
}
