import { describeTopic } from './topic.js'

describeTopic('cox')
