import { describeTopic } from './topic.js'

describeTopic('meta')
