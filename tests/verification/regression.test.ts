import { describeTopic } from './topic.js'

describeTopic('regression')
