import { spawn } from 'node:child_process'
import { access, constants, readFile, rm, writeFile } from 'node:fs/promises'
import { delimiter, join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { type ErrorText, UsageError } from '../../core/errors.js'
import { openScratch } from '../../core/scratch.js'

/** Names under which a Chromium, or a browser built on it, is installed. */
const browserNames = [
  'chromium',
  'chromium-browser',
  'google-chrome',
  'google-chrome-stable',
  'chrome',
  'chrome.exe',
  'microsoft-edge',
  'msedge.exe',
] as const

/** Places outside the search path. */
const browserPlaces = [
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
  'C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe',
] as const

/** Everything that the browser would otherwise do on the network by itself is switched off. */
const browserFlags = [
  '--headless',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--no-pdf-header-footer',
  '--generate-pdf-document-outline',
] as const

/** Longest time that printing may take. */
const longestMs = 60_000

/** How a page is printed. */
export interface PdfOptions {
  /** Date of making (ISO), which the file then carries instead of the time by the clock. */
  readonly date: string
  /** Program to print with; default: CHROMIUM_PATH, else the first Chromium of the search path. */
  readonly browser?: string
}

/**
 * Prints a self-contained page to PDF with the Chromium of the machine. The page loads nothing, and the browser is told
 * to do nothing on the network.
 *
 * @throws UsageError `no-browser` where there is none, `browser-failed` where it does not print
 */
export async function pdfOfHtml(html: string, options: PdfOptions): Promise<Uint8Array> {
  const browser = options.browser ?? (await requireBrowser())
  const folder = openScratch('print')
  try {
    const [page, pdf] = [join(folder, 'report.html'), join(folder, 'report.pdf')]
    await writeFile(page, html)
    await print(browser, page, pdf, join(folder, 'profile'))
    return withDate(await readFile(pdf).catch(() => Promise.reject(browserFailed(noFile))), options.date)
  } finally {
    await rm(folder, { recursive: true, force: true, maxRetries: 3 })
  }
}

/**
 * The Chromium to print with, to be asked for before any work is done.
 *
 * @throws UsageError `no-browser`
 */
export async function requireBrowser(): Promise<string> {
  const browser = await findBrowser()
  if (browser === undefined) throw noBrowser()
  return browser
}

/** The Chromium that CHROMIUM_PATH names, else the first one found; undefined where there is none. */
export async function findBrowser(
  environment: Readonly<Record<string, string | undefined>> = process.env,
): Promise<string | undefined> {
  const folders = (environment.PATH ?? '').split(delimiter).filter((folder) => folder !== '')
  const named = environment.CHROMIUM_PATH
  const places =
    named === undefined || named === ''
      ? [...browserNames.flatMap((name) => folders.map((folder) => join(folder, name))), ...browserPlaces]
      : [named]
  for (const place of places) {
    if (await isProgram(place)) return place
  }
  return undefined
}

async function isProgram(path: string): Promise<boolean> {
  try {
    await access(path, constants.X_OK)
    return true
  } catch {
    return false
  }
}

async function print(browser: string, page: string, pdf: string, profile: string): Promise<void> {
  const asRoot = process.getuid?.() === 0
  const child = spawn(
    browser,
    [
      ...browserFlags,
      ...(asRoot ? ['--no-sandbox'] : []),
      `--user-data-dir=${profile}`,
      `--print-to-pdf=${pdf}`,
      pathToFileURL(page).href,
    ],
    { stdio: 'ignore', timeout: longestMs },
  )
  const code = await new Promise<number | null>((resolve, reject) => {
    child.once('error', () => reject(browserFailed(notStarted)))
    child.once('exit', resolve)
  })
  if (code !== 0)
    throw browserFailed(code === null ? 'it was stopped after a minute' : `it ended with code ${code}`)
}

/** The day of making in place of the time of printing, of the same length, so that all offsets stay right. */
function withDate(bytes: Buffer, date: string): Uint8Array {
  const day = /^\d{4}-\d{2}-\d{2}$/.test(date) ? date.replaceAll('-', '') : undefined
  if (day === undefined) return bytes
  const text = bytes.toString('latin1')
  return Buffer.from(
    text.replace(/\/(CreationDate|ModDate) \(D:\d{14}/g, (_, name: string) => `/${name} (D:${day}000000`),
    'latin1',
  )
}

function noBrowser(): UsageError {
  return new UsageError({
    code: 'no-browser',
    problem: 'a PDF cannot be made, since there is no Chromium on this machine.',
    expected: 'Chromium, or a browser built on it, in the search path or at CHROMIUM_PATH.',
    mend: 'install one, or open report.html in any browser and print it to PDF.',
  })
}

const noFile: ErrorText = 'it wrote no file'
const notStarted: ErrorText = 'it could not be started'

function browserFailed(reason: ErrorText): UsageError {
  return new UsageError({
    code: 'browser-failed',
    problem: `the browser did not print the report: ${reason}.`,
    expected: 'a Chromium that can print a page to PDF.',
    mend: 'set CHROMIUM_PATH to another one, or open report.html in any browser and print it to PDF.',
  })
}
