import { screen } from '@inquirer/testing/vitest'
import { describe, expect, it } from 'vitest'
import { ask } from '../../src/cli/interviewPrompts.js'

const question = { where: ['sheets', '*', 'rows'], because: [] }

describe('a question at the terminal', () => {
  it('offers what is proposed first, so that Enter takes it', async () => {
    const answer = ask({
      ...question,
      ask: 'What is one row of the sheet?',
      choices: [
        { answer: 'visit', means: 'a visit of a crown' },
        { answer: 'restoration', means: 'one crown or prosthesis' },
      ],
      proposed: 'restoration',
    })
    expect(screen.getScreen()).toMatch(
      /What is one row of the sheet\?\s+❯ restoration \(one crown or prosthesis\)\s+visit/,
    )
    screen.keypress('enter')
    expect(await answer).toBe('restoration')
  })

  it('takes another choice by the arrow keys', async () => {
    const answer = ask({
      ...question,
      ask: 'Which column?',
      choices: [
        { answer: 'Kontrolle', means: 'such as a date' },
        { answer: null, means: 'not in this sheet' },
      ],
      proposed: 'Kontrolle',
    })
    screen.keypress('down')
    screen.keypress('enter')
    expect(await answer).toBeNull()
  })

  it('confirms by yes or no', async () => {
    const answer = ask({
      ...question,
      ask: '70 crowns in 30 patients. Right?',
      choices: [
        { answer: true, means: 'yes' },
        { answer: false, means: 'no' },
      ],
      proposed: true,
    })
    expect(screen.getScreen()).toContain('Right? (Y/n)')
    screen.type('n')
    screen.keypress('enter')
    expect(await answer).toBe(false)
  })

  it('asks again where a number is wanted and something else is typed', async () => {
    const answer = ask({ ...question, ask: 'In which row do the headers stand?', proposed: 1 })
    screen.type('first')
    screen.keypress('enter')
    await screen.next()
    expect(screen.getScreen()).toContain('a whole number, please')
    for (let i = 0; i < 5; i++) screen.keypress('backspace')
    screen.type('3')
    screen.keypress('enter')
    expect(await answer).toBe(3)
  })

  it('searches long lists by what is typed', async () => {
    const choices = Array.from({ length: 20 }, (_, i) => ({ answer: `field_${i}`, means: `number ${i}` }))
    const answer = ask({ ...question, ask: 'What does the column hold?', choices, proposed: 'field_7' })
    await screen.next()
    expect(screen.getScreen()).toMatch(/❯ field_7 /)
    screen.type('number 13')
    await screen.next()
    screen.keypress('enter')
    expect(await answer).toBe('field_13')
  })
})
