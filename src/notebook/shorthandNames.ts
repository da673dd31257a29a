import type { Compiler, SyntaxNode } from './frontDoor.js'

/**
 * Spells out `{ years }` as `{ years: years }` where the name belongs to an earlier cell. The kernel lets a cell see the
 * names of earlier ones by rewriting them, and misses these. Nothing else of the text is touched.
 *
 * @param code source of a cell
 * @param isEarlier whether a name was declared by an earlier cell
 * @param compiler the compiler that the kernel carries
 */
export function withNamesSpelledOut(
  code: string,
  isEarlier: (name: string) => boolean,
  compiler: Compiler,
): string {
  if (!code.includes('{')) return code
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
