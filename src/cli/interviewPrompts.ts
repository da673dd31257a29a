import { confirm, input, search, select } from '@inquirer/prompts'
import type { Choice, Question } from '../records/interview/questions.js'

/** Lists longer than this are searched by typing. */
const longList = 12

/** Puts one question to the user in the terminal and gives the answer. */
export async function ask(question: Question): Promise<Choice['answer']> {
  const { ask: message, because, choices, proposed } = question
  if (because.length > 0) process.stdout.write(`${because.map((line) => `    ${line}`).join('\n')}\n`)
  if (choices === undefined) return typed(message, proposed)
  if (choices.length === 2 && choices.every(({ answer }) => typeof answer === 'boolean')) {
    return confirm({ message, default: proposed !== false })
  }
  const offered = choices.map(({ answer, means }) => ({ name: nameOf(answer, means), value: answer }))
  // What is proposed stands first, so that Enter takes it.
  const ordered = [...offered].sort(
    (left, right) => Number(right.value === proposed) - Number(left.value === proposed),
  )
  if (ordered.length <= longList) return select({ message, choices: ordered })
  return search({
    message,
    source: (term) =>
      ordered.filter(({ name }) => term === undefined || name.toLowerCase().includes(term.toLowerCase())),
  })
}

function nameOf(answer: Choice['answer'], means: string): string {
  return answer === null || typeof answer === 'boolean' ? means : `${answer} (${means})`
}

async function typed(message: string, proposed: Choice['answer'] | undefined): Promise<Choice['answer']> {
  const isNumber = typeof proposed === 'number'
  const text = await input({
    message,
    ...(proposed === undefined || proposed === null ? {} : { default: String(proposed) }),
    validate: (value) => !isNumber || /^\d+$/.test(value.trim()) || 'a whole number, please',
  })
  return isNumber ? Number(text) : text
}
