import { describeTopic } from './topic.js'

describeTopic('agreement')
