import { createRequire } from 'node:module'

/** What is needed of the TypeScript that the kernel carries. */
interface SyntaxNode {
  readonly kind: number
  readonly name?: { readonly text?: string; readonly end: number }
  readonly objectAssignmentInitializer?: unknown
}
interface Compiler {
  createSourceFile(name: string, text: string, target: number): SyntaxNode
  forEachChild(node: SyntaxNode, visit: (child: SyntaxNode) => void): void
  readonly ScriptTarget: { readonly Latest: number }
  readonly SyntaxKind: { readonly ShorthandPropertyAssignment: number }
}

/**
 * Spells out `{ years }` as `{ years: years }` where the name belongs to an earlier cell. The kernel lets a cell see the
 * names of earlier ones by rewriting them, and misses these. Nothing else of the text is touched.
 *
 * @param code source of a cell
 * @param isEarlier whether a name was declared by an earlier cell
 * @param kernelFolder folder of the kernel, whose own TypeScript is used
 */
export function withNamesSpelledOut(
  code: string,
  isEarlier: (name: string) => boolean,
  kernelFolder: string,
): string {
  if (!code.includes('{')) return code
  const require = createRequire(`${kernelFolder}/main.js`)
  const compiler = require('@tslab/typescript-for-tslab') as Compiler
  const places: { readonly at: number; readonly name: string }[] = []
  const visit = (node: SyntaxNode): void => {
    const { name } = node
    if (
      node.kind === compiler.SyntaxKind.ShorthandPropertyAssignment &&
      node.objectAssignmentInitializer === undefined &&
      name?.text !== undefined &&
      isEarlier(name.text)
    ) {
      places.push({ at: name.end, name: name.text })
    }
    compiler.forEachChild(node, visit)
  }
  visit(compiler.createSourceFile('cell.ts', code, compiler.ScriptTarget.Latest))
  return places
    .sort((left, right) => right.at - left.at)
    .reduce((text, { at, name }) => `${text.slice(0, at)}: ${name}${text.slice(at)}`, code)
}
