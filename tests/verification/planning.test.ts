import { describeTopic } from './topic.js'

describeTopic('planning')
