import { describeTopic } from './topic.js'

describeTopic('distributions')
