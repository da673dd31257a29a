# Reference numbers of tests/pooling/againstR.test.ts. R 4.2, package survival. Run with the rows that the test writes:
#   Rscript tests/pooling/againstR.R rows.csv > tests/pooling/againstR.json
library(survival)
rows <- read.csv(commandArgs(TRUE)[1])
fit <- coxph(Surv(start, stop, event) ~ group + strata(stratum) + cluster(patient), rows, ties = "efron",
             control = coxph.control(eps = 1e-12, iter.max = 100))
breslow <- coxph(Surv(start, stop, event) ~ group + strata(stratum), rows, ties = "breslow")
null <- coxph(Surv(start, stop, event) ~ group + strata(stratum), rows, ties = "breslow", init = 0,
              control = coxph.control(iter.max = 0))
scores <- rowsum(residuals(null, "score"), rows$patient)
mh <- sapply(split(rows, rows$stratum), function(one) {
  years <- function(g) sum((one$stop - pmax(0, one$start))[one$group == g]) / 365.25
  events <- function(g) sum(one$event[one$group == g])
  all <- years(0) + years(1)
  c(events(1) * years(0) / all, events(0) * years(1) / all)
})
cat(sprintf('{"logHazardRatio": %.15g, "robustError": %.15g, "logRank": %.15g, "patientSquare": %.15g, "rateRatio": %.15g}\n',
            coef(fit), sqrt(fit$var), breslow$score, sum(scores^2), sum(mh[1, ]) / sum(mh[2, ])))
