import { DisclosureError } from '../../core/errors.js'

/** A step of a study group that is refused: something of a practice could be learned by it, or it is not what it says. */
export class StudyGroupError extends DisclosureError {
  constructor(code: string, problem: string, expected: string, mend: string, file = '') {
    super({ code, problem, expected, mend }, file)
  }
}
