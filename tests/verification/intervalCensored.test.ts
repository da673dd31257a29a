import { describeTopic } from './topic.js'

describeTopic('interval_censored')
