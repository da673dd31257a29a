/** A style sheet. The tag says so to editors, and to the test that looks for sentences outside the messages. */
export const css = joined

/** A script that runs in the page. */
export const script = joined

function joined(texts: TemplateStringsArray, ...parts: readonly string[]): string {
  return texts.map((text, index) => text + (parts[index] ?? '')).join('')
}
