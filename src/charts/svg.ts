import { sha256 } from '../core/plain.js'

/**
 * Makes the SVG that Vega writes fit to keep: one accessible picture with a text alternative, no group that pretends
 * to be a control or has a name of its own, no mark that is not seen, coordinates of two decimals, and identifiers that depend on the content
 * alone (Vega counts them up over the life of the process, so that the second drawing of a chart would differ from the
 * first). Pictures that stand in one page share its identifiers: each has its own, or one would be cut to the frame of another.
 */
export function finishedSvg(svg: string, description: string): string {
  const plain = svg.includes(' xlink:') ? svg : svg.replace(/ xmlns:xlink="[^"]*"/, '')
  const once = named(plain, description, '')
  return once.identifiers === 0 ? once.svg : named(plain, description, `-${sha256(once.svg).slice(0, 8)}`).svg
}

/** The picture with short identifiers that end alike, and how many of them it has. */
function named(plain: string, description: string, end: string): { svg: string; identifiers: number } {
  const identifiers = new Map<string, string>()
  const shortIdentifier = (id: string): string => {
    if (!identifiers.has(id)) identifiers.set(id, `part${identifiers.size + 1}${end}`)
    return identifiers.get(id)!
  }
  const svg = plain
    .replace(/<[^>]+>/g, (tag) => finishedTag(tag, shortIdentifier))
    .replace('<svg ', () => `<svg role="img" aria-label="${escapedAttribute(description)}" `)
  return { svg, identifiers: identifiers.size }
}

/** Only tags are touched: the text between them stays as it came. */
function finishedTag(tag: string, shortIdentifier: (id: string) => string): string {
  if (tag.startsWith('<path') && (tag.includes(' d="" display="none"') || tag.includes(' opacity="0"')))
    return ''
  return tag
    .replace(/( id="|url\(#)([^")]+)/g, (_, lead: string, id: string) => `${lead}${shortIdentifier(id)}`)
    .replace(
      / (?:role="graphics-[^"]*"|aria-roledescription="[^"]*"|aria-hidden="[^"]*"|aria-label="[^"]*"|class="[^"]*")/g,
      '',
    )
    .replace(
      / (transform|d|x1|x2|y1|y2|x|y|width|height)="([^"]*)"/g,
      (_, name: string, value: string) => ` ${name}="${shortNumbers(value)}"`,
    )
}

function shortNumbers(text: string): string {
  return text.replace(/-?\d+\.\d{3,}(?:e-?\d+)?/g, (number) => String(Number(Number(number).toFixed(2))))
}

function escapedAttribute(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
}

/** Size of an SVG that `renderSvg` made, in pixels at 96 to the inch. */
export function svgSizePx(svg: string): { readonly width: number; readonly height: number } {
  const [, width, height] = /<svg[^>]* width="([\d.]+)" height="([\d.]+)"/.exec(svg) ?? []
  return { width: Number(width ?? Number.NaN), height: Number(height ?? Number.NaN) }
}
