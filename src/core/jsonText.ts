/** Deepest nesting that is read; nothing of the toolkit comes near it, and what walks a content would run out of stack. */
const deepest = 200

/**
 * Content of a JSON text that somebody else may have written: with or without a byte order mark, as editors on Windows
 * put it, and not nested without end.
 *
 * @throws SyntaxError where it is no JSON, or nested more than 200 deep
 */
export function parseJson(text: string): unknown {
  const bare = text.startsWith('\ufeff') ? text.slice(1) : text
  if (isTooDeep(bare)) throw new SyntaxError('nested too deeply')
  return JSON.parse(bare)
}

function isTooDeep(text: string): boolean {
  let depth = 0
  let quoted = false
  for (let i = 0; i < text.length; i++) {
    const sign = text.charCodeAt(i)
    if (quoted) {
      if (sign === backslash) i++
      else if (sign === quote) quoted = false
    } else if (sign === quote) quoted = true
    else if (sign === bracket || sign === brace) {
      if (++depth > deepest) return true
    } else if (sign === bracket + 2 || sign === brace + 2) depth--
  }
  return false
}

const [quote, backslash, bracket, brace] = [0x22, 0x5c, 0x5b, 0x7b]
