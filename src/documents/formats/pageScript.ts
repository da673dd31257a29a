import { script } from '../../core/markup.js'

/**
 * The one script of a page: it lets a reader point at a chart, or walk through it by keyboard, and shows what stands
 * there. It holds nothing out of the data, so that its hash, which the content security policy allows, is that of our
 * own text; it writes text only, never markup. Without it the same pictures stand still.
 *
 * Each picture carries its readings as `data-readings`: boxes of the picture with a text each, `[left, top, right,
 * bottom, layer, text]`. The control is a range that cannot be seen, which browsers and screen readers know how to work.
 */
export const pageScript = script`'use strict'
for (const picture of document.querySelectorAll('.picture[data-readings]')) {
  const readings = JSON.parse(picture.dataset.readings)
  const svg = picture.querySelector('svg')
  const made = (tag, name) => {
    const element = document.createElement(tag)
    element.className = name
    picture.append(element)
    return element
  }
  const mark = made('div', 'reading-mark')
  const box = made('div', 'reading')
  mark.hidden = box.hidden = true
  mark.ariaHidden = box.ariaHidden = 'true'
  const range = made('input', 'reader')
  range.type = 'range'
  range.min = '0'
  range.max = String(readings.length - 1)
  range.value = '0'
  range.setAttribute('aria-label', picture.dataset.reader)

  const hide = () => {
    mark.hidden = box.hidden = true
  }
  const scale = () => svg.getBoundingClientRect().width / svg.viewBox.baseVal.width
  const say = () => {
    range.setAttribute('aria-valuetext', readings[Number(range.value)][5].replaceAll('\\n', '; '))
  }
  const show = (index) => {
    const [left, top, right, bottom, , text] = readings[index]
    range.value = String(index)
    say()
    const size = scale()
    const place = (element, x, y) => {
      element.style.left = x + 'px'
      element.style.top = y + 'px'
    }
    mark.hidden = box.hidden = false
    place(mark, left * size - 4, top * size - 4)
    mark.style.width = (right - left) * size + 8 + 'px'
    mark.style.height = (bottom - top) * size + 8 + 'px'
    box.replaceChildren(
      ...text.split('\\n').map((line, number) => {
        const element = document.createElement(number === 0 ? 'strong' : 'span')
        element.textContent = line
        return element
      }),
    )
    const room = picture.clientWidth - box.offsetWidth
    const middle = ((left + right) / 2) * size - box.offsetWidth / 2
    const above = top * size - box.offsetHeight - 10
    place(box, Math.max(0, Math.min(room, middle)), above >= 0 ? above : bottom * size + 10)
  }
  const nearest = (x, y, most) => {
    let found = -1
    let least = most
    readings.forEach(([left, top, right, bottom], index) => {
      const away = Math.hypot(Math.max(left - x, 0, x - right), Math.max(top - y, 0, y - bottom))
      if (away < least) {
        least = away
        found = index
      }
    })
    return found
  }
  const point = (event) => {
    const { left, top } = svg.getBoundingClientRect()
    const size = scale()
    const index = nearest((event.clientX - left) / size, (event.clientY - top) / size, 32)
    if (index < 0) hide()
    else show(index)
  }
  const neighbour = (step) => {
    const [left, top, right, bottom, layer] = readings[Number(range.value)]
    const layers = [...new Set(readings.map((reading) => reading[4]))]
    const wanted = layers[layers.indexOf(layer) + step]
    let found = -1
    let least = Infinity
    readings.forEach((reading, index) => {
      if (reading[4] !== wanted) return
      const away = Math.hypot(reading[0] + reading[2] - left - right, reading[1] + reading[3] - top - bottom)
      if (away < least) {
        least = away
        found = index
      }
    })
    return found
  }
  say()
  picture.addEventListener('pointermove', point)
  picture.addEventListener('pointerdown', point)
  picture.addEventListener('pointerleave', (event) => {
    if (event.pointerType !== 'touch') hide()
  })
  range.addEventListener('input', () => show(Number(range.value)))
  range.addEventListener('focus', () => {
    if (range.matches(':focus-visible')) show(Number(range.value))
  })
  range.addEventListener('blur', hide)
  range.addEventListener('keydown', (event) => {
    const step = { ArrowUp: -1, ArrowDown: 1 }[event.key]
    if (step === undefined) return
    event.preventDefault()
    const index = neighbour(step)
    if (index >= 0) show(index)
  })
  document.addEventListener('keydown', (event) => {
    if (event.key === 'Escape') hide()
  })
  document.addEventListener('pointerdown', (event) => {
    if (!picture.contains(event.target)) hide()
  })
  addEventListener('resize', hide)
}`
