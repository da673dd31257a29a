import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { formatPercent } from '../../src/core/format.js'
import { renderAuditHtml } from '../documents/auditHtml.js'
import { fixtures } from '../documents/fixture.js'
import { describeInChromium } from './chromium.js'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const usual = fixtures.usual!()
const widths = { page: 1280, column: 390 } as const

describeInChromium('charts that can be read in the browser', (context) => {
  let folder = ''
  const written = (name: string, html: string): string => {
    const file = join(folder, name)
    writeFileSync(file, html)
    return pathToFileURL(file).href
  }
  let address = ''
  let html = ''

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'reading-'))
    html = await renderAuditHtml(usual, { date: '2026-05-04', version: '0.1.0' })
    address = written('usual.html', html)
  })
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true })
  })

  async function onPage(size: keyof typeof widths, use: (page: Page) => Promise<void>): Promise<void> {
    const page = await context().newPage()
    try {
      await page.setViewportSize({ width: widths[size], height: 900 })
      await page.goto(address)
      await use(page)
    } finally {
      await page.close()
    }
  }

  /** Middle of the reading of a figure that holds a text, in pixels of the window. */
  const placeOf = (page: Page, figure: string, size: string, text: string) =>
    page.evaluate<{ x: number; y: number }>(`(() => {
      const picture = document.querySelector('#${figure} .picture.${size}')
      picture.scrollIntoView({ block: 'center' })
      const svg = picture.querySelector('svg').getBoundingClientRect()
      const scale = svg.width / picture.querySelector('svg').viewBox.baseVal.width
      const found = JSON.parse(picture.dataset.readings).find((one) => one[5].includes(${JSON.stringify(text)}))
      return { x: svg.left + ((found[0] + found[2]) / 2) * scale, y: svg.top + ((found[1] + found[3]) / 2) * scale }
    })()`)
  const shown = (page: Page, figure: string, size: string) =>
    page.evaluate<string | null>(`(() => {
      const box = document.querySelector('#${figure} .picture.${size} .reading')
      return box.hidden ? null : [...box.children].map((line) => line.textContent).join('|')
    })()`)

  const atYears = (group: string, years: number): string => {
    const found = usual.retention.byGroup.find((one) => one.group === group)!
    return formatPercent(found.rows.filter((row) => row.timeYears <= years).at(-1)!.retention)
  }

  describe.each(['page', 'column'] as const)('over one %s', (size) => {
    test('the mouse shows value, interval and number at risk, and nothing once it has left', async () => {
      await onPage(size, async (page) => {
        const { x, y } = await placeOf(page, 'figure-retention', size, 'Single tightening, 2.0 years')
        await page.mouse.move(x, y)
        const text = (await shown(page, 'figure-retention', size))!
        const single = usual.retention.byGroup.find(({ group }) => group === 'single')!
        expect(text).toMatch(/^Single tightening, 2\.0 years\|[\d.]+% \([\d.]+% to [\d.]+%\)\|At risk: \d+$/)
        expect(text).toContain(`|${atYears('single', 2)} (`)
        expect(text.endsWith(`At risk: ${single.atRiskAtTicks[2]}`)).toBe(true)
        await page.mouse.move(2, 2)
        expect(await shown(page, 'figure-retention', size)).toBeNull()
      })
    })

    test('a finger does, and a touch elsewhere ends it', async () => {
      await onPage(size, async (page) => {
        const { x, y } = await placeOf(page, 'figure-incidence', size, 'Single tightening, 3.0 years')
        const session = await context().newCDPSession(page)
        await session.send('Emulation.setTouchEmulationEnabled', { enabled: true })
        const tap = async (at: { x: number; y: number }) => {
          await session.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [at] })
          await session.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] })
        }
        await tap({ x, y })
        expect(await shown(page, 'figure-incidence', size)).toMatch(
          /^Single tightening, 3\.0 years\|[\d.]+% \([\d.]+% to [\d.]+%\)\|At risk: \d+$/,
        )
        await tap({ x: 3, y: 450 })
        expect(await shown(page, 'figure-incidence', size)).toBeNull()
      })
    })

    test('the box that is shown stays within the window', async () => {
      await onPage(size, async (page) => {
        for (const text of [
          'Single tightening, 0.0 years',
          'Single tightening, 5.0 years',
          'Repeated after 10 to 15 minutes, 6.0 years',
        ]) {
          const { x, y } = await placeOf(page, 'figure-retention', size, text)
          await page.mouse.move(x, y)
          const box = await page.evaluate<{ left: number; right: number }>(
            `(({ left, right }) => ({ left, right }))(document.querySelector('#figure-retention .picture.${size} .reading').getBoundingClientRect())`,
          )
          expect(box.left).toBeGreaterThanOrEqual(0)
          expect(box.right).toBeLessThanOrEqual(widths[size])
          expect(await page.evaluate('document.documentElement.scrollWidth')).toBe(widths[size])
        }
      })
    })
  })

  test('the keyboard reaches each chart and walks along it, across it and out of it', async () => {
    await onPage('page', async (page) => {
      const stops: string[] = []
      for (let press = 0; press < 80; press++) {
        await page.keyboard.press('Tab')
        const stop = await page.evaluate<string>(
          "document.activeElement.className === 'reader' ? document.activeElement.closest('figure').id : ''",
        )
        if (stops.includes(stop)) break
        if (stop !== '') stops.push(stop)
      }
      const readable = await page.evaluate<string[]>(
        "[...document.querySelectorAll('.picture.page[data-readings]')].map((one) => one.closest('figure').id)",
      )
      expect(stops).toEqual(readable)
      expect(stops).toContain('figure-retention')
    })
    await onPage('page', async (page) => {
      await page.keyboard.press('Tab')
      await page.evaluate("document.querySelector('#figure-retention .picture.page .reader').focus()")
      const told = () => page.evaluate<string>("document.activeElement.getAttribute('aria-valuetext')")
      expect(await shown(page, 'figure-retention', 'page')).toMatch(/^Single tightening, 0\.0 years\|/)
      const seen: string[] = [await told()]
      for (const key of ['ArrowRight', 'ArrowRight', 'ArrowDown', 'ArrowLeft', 'ArrowUp', 'End', 'Home']) {
        await page.keyboard.press(key)
        seen.push(await told())
      }
      const curves = seen.map((text) => text.split(',')[0])
      expect(curves.slice(0, 6)).toEqual([
        'Single tightening',
        'Single tightening',
        'Single tightening',
        'Repeated after 10 to 15 minutes',
        'Repeated after 10 to 15 minutes',
        'Single tightening',
      ])
      expect(new Set(seen.slice(0, 3)).size).toBe(3)
      expect(seen.at(-1)).toBe(seen[0])
      expect(seen.every((text) => !text.includes('\n'))).toBe(true)
      await page.keyboard.press('Escape')
      expect(await shown(page, 'figure-retention', 'page')).toBeNull()
    })
  })

  test.each(['light', 'dark'] as const)(
    'axe finds no violation with a reading open (%s)',
    async (colorScheme) => {
      await onPage('column', async (page) => {
        await page.emulateMedia({ colorScheme })
        const { x, y } = await placeOf(page, 'figure-retention', 'column', 'Single tightening, 2.0 years')
        await page.mouse.move(x, y)
        expect(await shown(page, 'figure-retention', 'column')).not.toBeNull()
        await page.evaluate(axe)
        const found = await page.evaluate<{ violations: { id: string }[] }>('axe.run()')
        expect(found.violations.map(({ id }) => id)).toEqual([])
      })
    },
  )

  test('in print, and where scripts are off, the same picture stands still', async () => {
    await onPage('page', async (page) => {
      const { x, y } = await placeOf(page, 'figure-retention', 'page', 'Single tightening, 2.0 years')
      await page.mouse.move(x, y)
      await page.emulateMedia({ media: 'print' })
      for (const part of ['reading', 'reading-mark', 'reader']) {
        expect(
          await page.evaluate(
            `getComputedStyle(document.querySelector('#figure-retention .page .${part}')).display`,
          ),
        ).toBe('none')
      }
    })
    const page = await context().newPage()
    try {
      const session = await context().newCDPSession(page)
      await session.send('Emulation.setScriptExecutionDisabled', { value: true })
      await page.goto(address)
      const { result } = await session.send('Runtime.evaluate', {
        expression:
          "JSON.stringify([document.querySelectorAll('.reader').length, document.querySelector('#figure-retention .page svg').getBoundingClientRect().height > 100])",
      })
      expect(result.value).toBe('[0,true]')
    } finally {
      await page.close()
    }
  })

  test('the policy of the page lets no other script run', async () => {
    const attacks = [
      '<script>window.attacked = "script"</script>',
      '<script src="data:text/javascript,window.attacked=1"></script>',
      '<img src="data:," onerror="window.attacked = \'handler\'">',
      '<svg onload="window.attacked = \'svg\'"></svg>',
      '<iframe srcdoc="<script>parent.attacked = 1</script>"></iframe>',
      '<style>body { display: none }</style>',
      '<p id="styled" style="color: rgb(1, 2, 3)">text</p>',
    ]
    const page = await context().newPage()
    try {
      const requests: string[] = []
      page.on('request', (request) => requests.push(request.url()))
      const refusals: string[] = []
      page.on('console', (message) => refusals.push(message.text()))
      const attacked = written(
        'attacked.html',
        html.replace('</main>', () => `${attacks.join('')}</main>`),
      )
      await page.goto(attacked)
      await page.evaluate(`(() => {
        const script = document.createElement('script')
        script.textContent = 'window.attacked = "added"'
        document.body.append(script)
        setTimeout('window.attacked = "timer"', 0)
        fetch('https://example.org/').catch(() => undefined)
      })()`)
      await page.waitForTimeout(200)
      expect(await page.evaluate('window.attacked')).toBeUndefined()
      expect(await page.evaluate('getComputedStyle(document.body).display')).not.toBe('none')
      expect(await page.evaluate("getComputedStyle(document.querySelector('#styled')).color")).not.toBe(
        'rgb(1, 2, 3)',
      )
      expect(requests.filter((one) => /^https?:/.test(one))).toEqual([])
      expect(refusals.filter((text) => /Content Security Policy/i.test(text)).length).toBeGreaterThanOrEqual(
        6,
      )
      expect(await page.evaluate("document.querySelectorAll('.reader').length")).toBeGreaterThan(4)
    } finally {
      await page.close()
    }
  })
})
