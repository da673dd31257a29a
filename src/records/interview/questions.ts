import { type Answers, answerAt } from './answers.js'

/** One answer that a question offers. */
export interface Choice {
  readonly answer: string | number | boolean | null
  /** What it means, for people. */
  readonly means: string
}

/** A question of the interview, with the place at which its answer stands. */
export interface Question {
  /** Path in the file of answers. */
  readonly where: readonly string[]
  readonly ask: string
  /** What speaks for one answer or another. */
  readonly because: readonly string[]
  /** Answers to choose from; absent where a number or text is written. */
  readonly choices?: readonly Choice[]
  readonly proposed?: string | number | boolean | null
}

/** Gathers the questions of one pass; what is not answered yet goes on with what is proposed. */
export class QuestionList {
  readonly open: Question[] = []
  readonly #answers: Answers

  constructor(answers: Answers) {
    this.#answers = answers
  }

  /** The answer at any of several places: that of the sheet itself comes before that of every sheet. */
  given(places: readonly (readonly string[])[]): unknown {
    for (const where of places) {
      const found = answerAt(this.#answers, where)
      if (found !== undefined) return found
    }
    return undefined
  }

  /** Asks, unless an answer is there; gives the answer, or what is proposed. */
  ask(places: readonly (readonly string[])[], question: Omit<Question, 'where'>): unknown {
    const found = this.given(places)
    if (found !== undefined) return found
    const id = JSON.stringify(places[0])
    if (this.open.every(({ where }) => JSON.stringify(where) !== id))
      this.open.push({ where: places[0]!, ...question })
    return question.proposed
  }
}
