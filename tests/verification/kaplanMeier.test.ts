import { describeTopic } from './topic.js'

describeTopic('kaplan_meier')
