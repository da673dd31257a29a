/**
 * Opens notebooks of a study, which lies outside the project, in the classic front end of Jupyter (Debian's
 * jupyter-notebook) in a real browser (Debian's Chromium) without a network, and works in them as a reader would: runs all
 * cells, makes a mistake, completes a name, looks one up, interrupts, restarts. `.ci/run` calls it.
 *
 *   node scripts/notebooksInBrowser.mjs [--pictures DIR] [NAME...]     default: 02 and 09
 */
import { execFileSync, spawn, spawnSync } from 'node:child_process'
import { cpSync, mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { createServer } from 'node:net'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { chromium } from 'playwright-core'
import { writeKernelSpecification } from '../dist/notebook/kernelSpecification.js'
import { writeStudy } from '../dist/notebook/studyFolder.js'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const { values, positionals } = parseArgs({
  options: { pictures: { type: 'string' } },
  allowPositionals: true,
})
const wanted = positionals.length > 0 ? positionals : ['02', '09']
const browserPath = process.env.CHROMIUM_PATH ?? '/usr/bin/chromium'
const started = Date.now()

if (
  spawnSync('jupyter-notebook', ['--version']).status !== 0 ||
  spawnSync(browserPath, ['--version']).status !== 0
) {
  console.error(
    'There is no jupyter-notebook or no Chromium here. On Debian: apt-get install jupyter-notebook chromium',
  )
  process.exit(2)
}

function expectThat(holds, what, seen = '') {
  if (!holds) throw new Error(`in the browser: ${what}${seen === '' ? '' : `; seen: ${seen.slice(0, 600)}`}`)
}

async function freePort() {
  const server = createServer()
  await new Promise((resolve) => server.listen(0, '127.0.0.1', resolve))
  const { port } = server.address()
  await new Promise((resolve) => server.close(resolve))
  return port
}

/** Jupyter on loopback, with its settings, its data and the kernel in the scratch folder. */
async function jupyterIn(scratch, study) {
  const port = await freePort()
  const settings = ['--no-browser', '--allow-root', '--ip=127.0.0.1', `--port=${port}`, '--no-mathjax']
  const open = [
    "--NotebookApp.token=''",
    "--NotebookApp.password=''",
    '--NotebookApp.disable_check_xsrf=True',
  ]
  const server = spawn('jupyter-notebook', [...settings, ...open], {
    cwd: study,
    env: {
      ...process.env,
      HOME: scratch,
      JUPYTER_DATA_DIR: join(scratch, 'jupyter'),
      JUPYTER_CONFIG_DIR: join(scratch, 'jupyter-settings'),
      JUPYTER_RUNTIME_DIR: join(scratch, 'jupyter-running'),
      HOLDFAST_DATE: '2026-01-31',
    },
    stdio: ['ignore', 'ignore', 'pipe'],
  })
  let said = ''
  server.stderr.on('data', (chunk) => {
    said = (said + chunk).slice(-4000)
  })
  const address = `http://127.0.0.1:${port}`
  for (let waited = 0; waited < 240; waited++) {
    const answers = await fetch(`${address}/api`).then(
      ({ ok }) => ok,
      () => false,
    )
    if (answers) return { server, address }
    if (server.exitCode !== null) break
    await new Promise((resolve) => setTimeout(resolve, 250))
  }
  server.kill()
  throw new Error(`Jupyter does not start: ${said}`)
}

const cell = (page, at) => page.locator('.code_cell').nth(at)

/** Waits until nothing runs or waits to run, and the kernel says that it is idle. */
async function idle(page, seconds = 90) {
  await page.waitForFunction(
    () => {
      const { notebook } = globalThis.Jupyter
      const waiting = notebook.get_cells().some(({ element }) => element.hasClass('running'))
      return !waiting && document.querySelector('#kernel_indicator_icon.kernel_idle_icon') !== null
    },
    undefined,
    { timeout: seconds * 1000 },
  )
}

/** Writes a new last cell as one types, without what the editor closes by itself. */
async function typed(page, source) {
  await page.evaluate(() => {
    const { notebook } = globalThis.Jupyter
    notebook.select(notebook.ncells() - 1)
    notebook.insert_cell_below('code')
    notebook.select(notebook.ncells() - 1)
    notebook.edit_mode()
    notebook.get_selected_cell().code_mirror.setOption('autoCloseBrackets', false)
  })
  const last = (await page.locator('.code_cell').count()) - 1
  await cell(page, last).locator('.CodeMirror').click()
  await page.keyboard.type(source)
  return cell(page, last)
}

/** Runs a new last cell with Shift and Enter; answers with what it shows. */
async function answered(page, source) {
  const last = await typed(page, source)
  await page.keyboard.press('Control+Enter')
  await idle(page)
  // What comes within a moment after an error is taken to have been waiting behind it, and is not run.
  await page.waitForTimeout(500)
  return (await last.locator('.output').textContent()).trim()
}

async function runsAll(page, name) {
  await page.click('#celllink')
  await page.click('#run_all_cells')
  await idle(page, 120)
  const errors = await page.locator('.output_error, .output_stderr').allTextContents()
  expectThat(errors.length === 0, `${name} runs to its end`, errors.join('\n'))
  const outputs = await page.locator('.output').allTextContents()
  expectThat(/Restorations/.test(outputs.join('\n')), `${name} shows a table`, outputs.join('\n'))
  const charts = await page.locator('.output svg, .output img').count()
  expectThat(charts > 0, `${name} shows a chart`)
}

async function workedIn(page, name) {
  const mistake = await answered(page, 'interquartileRange([1, 2])')
  expectThat(
    /Cannot find name 'interquartileRange'[\s\S]*write import \{ interquartileRange \} from 'simple-statistics'/.test(
      mistake,
    ),
    'a missing import is told with its mend',
    mistake,
  )
  const unawaited = await answered(page, "buildCohort(openRecords('../records'))")
  expectThat(
    /write await before the call/.test(unawaited),
    'a forgotten await is told with its mend',
    unawaited,
  )
  await completed(page, 'retentionC', 'retentionChart')
  await completed(page, 'rate(3, 100).in', 'interval')
  await typed(page, 'incidence')
  await page.keyboard.press('Shift+Tab')
  await page.waitForFunction(() =>
    /interval that allows for several restorations/.test(
      document.querySelector('#tooltip')?.textContent ?? '',
    ),
  )
  await pictureOf(page, `${name}-looked-up`)
  await page.keyboard.press('Escape')
}

/** Completes what is typed with Tab: where one name fits it is written, where several do they are offered. */
async function completed(page, source, name) {
  const last = await typed(page, source)
  await page.keyboard.press('Tab')
  await page.waitForFunction(
    (wanted) => {
      const offered = document.querySelector('#complete, .completions')?.textContent ?? ''
      return (globalThis.Jupyter.notebook.get_selected_cell().get_text() + offered).includes(wanted)
    },
    name,
    { timeout: 20_000 },
  )
  if ((await page.locator('.completions').count()) > 0) {
    await pictureOf(page, `offered-${name}`)
    await page.keyboard.press('Escape')
  }
  await last.locator('.CodeMirror').click()
}

async function interrupted(page) {
  await typed(page, 'for (;;) {}')
  await page.keyboard.press('Control+Enter')
  await page.waitForSelector('#kernel_indicator_icon.kernel_busy_icon')
  await page.waitForTimeout(1000)
  await page.click('button[data-jupyter-action="jupyter-notebook:interrupt-kernel"]')
  await idle(page)
  const said = await page.locator('.code_cell').last().locator('.output').textContent()
  expectThat(
    /Interrupted\. What earlier cells made is still there/.test(said),
    'an interruption is told',
    said,
  )
  await page.waitForTimeout(500)
  expectThat((await answered(page, '6 * 7')) === '42', 'a cell after an interruption runs')
}

async function restarted(page) {
  await answered(page, 'const before = 1')
  await page.click('#kernellink')
  await page.click('#restart_kernel')
  await page.evaluate(() => {
    globalThis.isReady = new Promise((ready) => {
      globalThis.Jupyter.notebook.events.one('kernel_ready.Kernel', () => ready(true))
    })
  })
  await page.click('.modal-footer .btn-danger')
  await page.evaluate(() => globalThis.isReady)
  await idle(page)
  const gone = await answered(page, 'before')
  expectThat(/Cannot find name 'before'/.test(gone), 'a restart clears what cells made', gone)
  expectThat((await answered(page, 'rate(3, 100).n')) === '3', 'names are ready after a restart')
}

async function pictureOf(page, name) {
  if (values.pictures === undefined) return
  mkdirSync(values.pictures, { recursive: true })
  await page.screenshot({ path: join(values.pictures, `${name}.png`) })
}

/** The outputs, each from its top. */
async function picturesOf(page, name) {
  if (values.pictures === undefined) return
  const outputs = page.locator('.code_cell .output_wrapper')
  for (let i = 0; i < (await outputs.count()); i++) {
    if (!(await outputs.nth(i).isVisible())) continue
    mkdirSync(values.pictures, { recursive: true })
    await outputs.nth(i).screenshot({ path: join(values.pictures, `${name}-${i + 1}.png`) })
  }
}

const scratch = mkdtempSync(join(tmpdir(), 'notebooks in a browser é-'))
const study = join(scratch, 'my study')
let jupyter
let browser
try {
  await writeStudy(study)
  cpSync(join(root, 'data-demo'), join(study, 'records'), { recursive: true })
  mkdirSync(join(scratch, 'jupyter'), { recursive: true })
  await writeKernelSpecification(join(scratch, 'jupyter', 'kernels'))
  jupyter = await jupyterIn(scratch, study)
  browser = await chromium.launch({
    executablePath: browserPath,
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-background-networking',
      '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1',
    ],
  })
  for (const file of readdirSync(join(study, 'notebooks')).filter((one) =>
    wanted.some((name) => one.startsWith(name)),
  )) {
    const name = file.slice(0, 2)
    const outside = []
    const page = await browser.newPage({ viewport: { width: 1200, height: 900 } })
    page.on('request', (request) => {
      if (!/^(?:data|blob):/.test(request.url()) && !request.url().startsWith(jupyter.address))
        outside.push(request.url())
    })
    await page.goto(`${jupyter.address}/notebooks/notebooks/${encodeURIComponent(file)}`)
    await page.waitForFunction(() => globalThis.Jupyter?.notebook?.kernel?.is_connected() === true)
    await idle(page)
    await runsAll(page, name)
    await pictureOf(page, name)
    await picturesOf(page, name)
    await workedIn(page, name)
    await interrupted(page)
    await restarted(page)
    await pictureOf(page, `${name}-end`)
    expectThat(outside.length === 0, 'nothing is asked of another host', outside.join(', '))
    await page.close()
    console.log(`${file}: ran, mended, completed, looked up, interrupted and restarted in a browser`)
  }
  console.log(`${((Date.now() - started) / 1000).toFixed(0)} s`)
} finally {
  await browser?.close()
  if (jupyter !== undefined) {
    execFileSync('kill', [String(jupyter.server.pid)])
    await new Promise((resolve) => jupyter.server.once('exit', resolve))
  }
  rmSync(scratch, { recursive: true, force: true })
}
