# Writes ../overlap_risks.json: risks of two groups under overlap weights, with standard errors over patients, computed
# apart from this project by R with its recommended package survival. Run in this folder: Rscript overlap-risks.R
#
# The data are drawn here, rounded so that they print exactly, and written beside the answers. Standard errors "known"
# are the infinitesimal jackknife that survfit gives for multi-state curves, times the weight of each row; "estimated" come from stacking the weighted
# curve on the logistic model by numerical differentiation of the risks by its coefficients.
library(survival)

answers <- function(id, n, seed, horizon, operators) {
  set.seed(seed)
  patient <- (seq_len(n) - 1) %/% 2
  operator <- sample(operators, n, replace = TRUE)
  age <- round(rnorm(n), 3)
  bruxism <- rbinom(n, 1, 0.3)
  preference <- seq(-1, 1, length.out = operators)[operator]
  inGroup <- rbinom(n, 1, plogis(preference + 0.5 * age - 0.4 * bruxism))
  event <- rexp(n, 0.1 * exp(0.5 * bruxism + 0.3 * age - 0.5 * inGroup))
  gone <- rexp(n, 0.03)
  seen <- runif(n, 0.5, 7)
  time <- ceiling(365 * pmin(event, gone, seen))
  status <- ifelse(event <= gone & event <= seen, 1, ifelse(gone <= seen, 2, 0))
  entry <- ifelse(seq_len(n) %% 7 == 0, pmax(0, pmin(200, time - 1)), 0)
  rows <- data.frame(patient, operator = factor(operator), age, bruxism, inGroup, time, status, entry)
  fit <- glm(inGroup ~ operator + age + bruxism, binomial, rows, epsilon = 1e-14, maxit = 100)
  design <- model.matrix(fit)
  state <- factor(status, 0:2, c("none", "event", "gone"))
  id_row <- seq_len(n)
  riskOf <- function(e) {
    weight <- ifelse(inGroup == 1, 1 - e, e)
    sapply(c(1, 0), function(arm) {
      at <- summary(survfit(Surv(entry, time, state) ~ 1, weights = weight, id = id_row, cluster = patient,
                            subset = inGroup == arm), times = horizon)
      c(at$pstate[1, 2], at$std.err[1, 2])
    })
  }
  e <- plogis(drop(design %*% coef(fit)))
  at <- riskOf(e)
  weight <- ifelse(inGroup == 1, 1 - e, e)
  influence <- matrix(0, max(patient) + 1, 2)
  for (arm in c(1, 0)) {
    kept <- inGroup == arm
    one <- survfit(Surv(entry, time, state) ~ 1, weights = weight, id = id_row, cluster = patient, subset = kept,
                   influence = TRUE)
    k <- max(which(one$time <= horizon))
    # One row of influence for each restoration, and the start of the curve before its first time.
    part <- rowsum(one$influence.pstate[, k + 1, 2] * weight[kept], patient[kept])
    influence[as.integer(rownames(part)) + 1, 2 - arm] <- part
  }
  known <- sqrt(sum((influence[, 1] - influence[, 2])^2))
  slope <- sapply(seq_along(coef(fit)), function(j) {
    step <- 1e-5
    moved <- function(by) { b <- coef(fit); b[j] <- b[j] + by; r <- riskOf(plogis(drop(design %*% b))); r[1, 1] - r[1, 2] }
    (moved(step) - moved(-step)) / (2 * step)
  })
  score <- design * (inGroup - e)
  ofScores <- drop(score %*% solve(crossprod(design * sqrt(e * (1 - e))), slope))
  estimated <- sqrt(sum((influence[, 1] - influence[, 2] + rowsum(ofScores, patient)[, 1])^2))
  list(
    id = id, kind = "overlap-risks",
    data = list(patient = patient, operator = operator, age = age, bruxism = bruxism, inGroup = inGroup, time = time,
                status = status, entry = entry),
    options = list(horizon = horizon, operators = operators),
    expected = list(group = at[1, 1], against = at[1, 2], difference = at[1, 1] - at[1, 2],
                    groupError = sqrt(sum(influence[, 1]^2)), againstError = sqrt(sum(influence[, 2]^2)), groupErrorOfCurve = at[2, 1], knownError = known, estimatedError = estimated,
                    coefficients = unname(coef(fit))),
    tolerance = 1e-6,
    source = "logistic regression (glm) and multi-state survfit with weights, delayed entry and clusters",
    computed_with = paste("R", getRversion(), "survival", packageVersion("survival"))
  )
}

toText <- function(x) {
  if (is.list(x)) paste0("{", paste0('"', names(x), '": ', vapply(x, toText, ""), collapse = ",\n"), "}")
  else if (is.character(x)) paste0('"', x, '"')
  else {
    numbers <- formatC(x, digits = 15, format = "g")
    if (length(x) == 1) numbers else paste0("[", paste(trimws(numbers), collapse = ","), "]")
  }
}
cases <- list(answers("three-operators-400", 400, 1, 1095, 3), answers("eight-operators-150", 150, 2, 730, 8))
writeLines(paste0("[", paste(vapply(cases, toText, ""), collapse = ",\n"), "]"), "../overlap_risks.json")
