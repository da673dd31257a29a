export { languages } from './catalogue.js'
export { type Message, message } from './message.js'
export { reasonOf, speaker, warningOf } from './speaker.js'
