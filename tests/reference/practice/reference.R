# Independent computation of the reference practice, from the CSV files and the definitions in README.md beside this
# script. R 4.2 with survival 3.5. Run: Rscript reference.R   (writes expected.json)
suppressPackageStartupMessages(library(survival))
here <- sub("--file=", "", grep("--file=", commandArgs(FALSE), value = TRUE))
setwd(if (length(here)) dirname(here) else ".")
year <- 365.25
out <- list()
put <- function(id, value, tolerance = 1e-8) {
  if (length(value) == 1 && is.finite(value)) out[[length(out) + 1]] <<- list(id = id, value = value, tolerance = tolerance)
}
load_table <- function(folder, name) read.csv(file.path(folder, paste0(name, ".csv")), colClasses = "character", na.strings = character(0))

# ---- rows: identical ones count once, contradicting ones are set aside with all that belongs to them ----
cohort_of <- function(folder) {
  rest <- load_table(folder, "restorations"); n_rows <- nrow(rest)
  rest <- unique(rest); n_unique <- nrow(rest)
  twice <- unique(rest$restoration_id[duplicated(rest$restoration_id)])
  rest <- rest[!rest$restoration_id %in% twice, ]
  tight <- load_table(folder, "tightenings"); tight <- tight[!tight$restoration_id %in% twice, ]
  vis <- load_table(folder, "visits"); vis <- vis[!vis$restoration_id %in% twice, ]
  at <- match(vis$restoration_id, rest$restoration_id)
  delivered <- as.numeric(as.Date(rest$delivery_date))
  vis$day <- as.numeric(as.Date(vis$visit_date)) - delivered[at]
  early <- sum(vis$day < 0); vis <- vis[vis$day >= 0, ]
  rest$delivery <- delivered
  rest$entry <- ifelse(rest$observation_start_date == "", 0, as.numeric(as.Date(rest$observation_start_date)) - delivered)
  vis$person <- !vis$visit_type %in% c("telephone", "records_only")
  vis$look <- vis$person & vis$screw_checked != "no"
  vis$ticked <- vis$person & vis$screw_checked == "yes"
  eligible <- rest$restoration_type == "single_crown" & rest$connection != "screwless"

  # ---- exposure, from the tightenings of the delivery day ----
  delivery_rows <- tight[tight$context == "delivery" & tight$days_since_delivery == "0", ]
  exposure <- sapply(seq_len(nrow(rest)), function(i) {
    own <- delivery_rows[delivery_rows$restoration_id == rest$restoration_id[i], ]
    own <- own[order(own$screw_position, as.integer(own$sequence)), ]
    chart <- rest$tightening_group[i]
    if (nrow(own) == 0) return(paste0(chart, "-by-chart"))
    screws <- split(own, own$screw_position)
    kinds <- sapply(screws, function(s) {
      if (any(s$action == "undo_then_tighten")) return("undone")
      if (nrow(s) == 1) return("single")
      wait <- suppressWarnings(as.numeric(s$minutes_since_first[-1]))
      if (any(!is.na(wait) & wait >= 10 & wait <= 15)) return("repeated-in-window")
      if (all(is.na(wait))) return("repeated-wait-not-recorded")
      "repeated-outside-window"
    })
    if (length(unique(kinds)) > 1) "other" else unname(kinds[1])
  })
  rest$exposure <- exposure
  documented <- sapply(rest$restoration_id, function(id) {
    own <- delivery_rows[delivery_rows$restoration_id == id, ]
    any(table(own$screw_position) >= 2)
  })
  rest$documented <- unname(documented)
  pos <- as.integer(rest$tooth_position) %% 10
  rest$region <- ifelse(pos <= 3, "anterior", ifelse(pos <= 5, "premolar", "molar"))
  list(rest = rest, vis = vis, eligible = eligible, n_rows = n_rows, n_unique = n_unique, twice = length(twice), early = early)
}

# ---- one row per restoration: last clean look, finding, competing event, end of follow-up ----
follow <- function(practice, look = "look", next_look = FALSE) {
  rest <- practice$rest; vis <- practice$vis
  rows <- lapply(which(practice$eligible), function(i) {
    own <- vis[vis$restoration_id == rest$restoration_id[i], ]
    own <- own[order(own$day), ]
    entry <- rest$entry[i]
    looks <- own$day[own[[look]]]
    finding <- own$day[own$finding == "screw_loosening"]
    found <- if (length(finding)) min(finding) else NA
    first <- found
    if (!is.na(found) && next_look && !(found %in% looks)) {
      later <- looks[looks > found]
      found <- if (length(later)) min(later) else NA
    }
    # the clean looks before the event that counts; found loose earlier than it counts, that visit is not clean
    clean <- if (is.na(found)) looks else looks[looks < found & looks < first]
    last_clean <- max(c(clean, entry))
    out_of_place <- own$day[own$restoration_status %in% c("removed", "lost")]
    dead <- own$day[own$patient_status == "deceased"]
    competing <- if (length(c(out_of_place, dead))) min(out_of_place, dead) else NA
    last_look <- if (length(looks)) max(looks) else NA
    ends_by_competing <- is.na(found) && !is.na(competing) && !is.na(last_look) && competing - last_look <= 400
    data.frame(i = i, entry = entry, found = found, last_clean = last_clean, last_look = last_look,
      competing = if (ends_by_competing) competing else NA,
      late_competing = is.na(found) && !is.na(competing) && !is.na(last_look) && competing - last_look > 400,
      uncounted = !is.na(first) && is.na(found),
      analysed = !is.na(found) || !is.na(last_look), looks = length(unique(looks)),
      last_contact = if (nrow(own)) max(own$day) else NA)
  })
  d <- do.call(rbind, rows)
  cbind(d, rest[d$i, c("restoration_id", "patient_id", "clinic_id", "operator_id", "exposure", "region", "connection",
    "bruxism", "component_system", "implant_diameter_mm", "opposing", "age_at_delivery_years", "delivery", "documented", "tightening_group")])
}
# Days: found = at the visit; midpoint; after = the day after the last clean look, never later than the finding.
placed <- function(d, where) {
  d <- d[d$analysed, ]
  event_day <- switch(where, found = d$found, midpoint = (d$last_clean + d$found) / 2, after = pmin(d$found, d$last_clean + 1))
  d$status <- ifelse(!is.na(d$found), 1, ifelse(!is.na(d$competing), 2, 0))
  d$time <- ifelse(d$status == 1, event_day, ifelse(d$status == 2, d$competing, d$last_look))
  d[d$time > d$entry, ]
}

# ---- weighted cumulative incidence with its derivative by each weight (infinitesimal jackknife) ----
incidence <- function(d, w = rep(1, nrow(d)), horizons) {
  times <- sort(unique(d$time[d$status > 0 & d$time <= max(horizons)]))
  S <- 1; F <- 0; dS <- dF <- numeric(nrow(d)); values <- list(); k <- 1
  grid <- c(times, Inf)
  for (h in horizons) {
    while (grid[k] <= h) {
      t <- grid[k]; at <- as.numeric(d$entry < t & d$time >= t); Y <- sum(w * at)
      e1 <- as.numeric(d$time == t & d$status == 1); ea <- as.numeric(d$time == t & d$status > 0)
      h1 <- sum(w * e1) / Y; ha <- sum(w * ea) / Y
      dF <- dF + dS * h1 + S * (e1 - at * h1) / Y; F <- F + S * h1
      dS <- dS * (1 - ha) - S * (ea - at * ha) / Y; S <- S * (1 - ha)
      k <- k + 1
    }
    values[[length(values) + 1]] <- list(risk = F, derivative = dF, free = S, at_risk = sum(d$entry < h & d$time >= h))
  }
  values
}
by_patient <- function(influence, patient) sqrt(sum(rowsum(influence, patient)^2))
horizon_names <- c("1", "3", "5")
horizons <- c(1, 3, 5) * year

report_incidence <- function(prefix, d, limits = FALSE) {
  res <- incidence(d, horizons = horizons)
  for (j in seq_along(horizons)) {
    se <- by_patient(res[[j]]$derivative, d$patient_id); F <- res[[j]]$risk
    put(sprintf("%s/risk/%s", prefix, horizon_names[j]), F)
    put(sprintf("%s/risk-se/%s", prefix, horizon_names[j]), se)
    put(sprintf("%s/at-risk/%s", prefix, horizon_names[j]), res[[j]]$at_risk, 0)
    if (limits && F > 0) {
      half <- qnorm(0.975) * se / (F * abs(log(F)))
      put(sprintf("%s/risk-lower/%s", prefix, horizon_names[j]), F^exp(half))
      put(sprintf("%s/risk-upper/%s", prefix, horizon_names[j]), F^exp(-half))
    }
  }
}
report_rate <- function(prefix, d) {
  years <- (d$time - d$entry) / year; events <- d$status == 1; rate <- sum(events) / sum(years)
  clusters <- length(unique(d$patient_id))
  se <- sqrt(clusters / (clusters - 1) * sum(rowsum(events - rate * years, d$patient_id)^2)) / sum(events)
  put(paste0(prefix, "/restorations"), nrow(d), 0); put(paste0(prefix, "/patients"), clusters, 0)
  put(paste0(prefix, "/events"), sum(events), 0); put(paste0(prefix, "/competing"), sum(d$status == 2), 0)
  put(paste0(prefix, "/restoration-years"), sum(years))
  put(paste0(prefix, "/rate-per-100"), 100 * rate)
  if (sum(events) >= 5) {
    put(paste0(prefix, "/rate-lower"), 100 * rate * exp(-qnorm(0.975) * se))
    put(paste0(prefix, "/rate-upper"), 100 * rate * exp(qnorm(0.975) * se))
  }
}

practice <- cohort_of("records")
rest <- practice$rest
put("records/restoration-rows", practice$n_rows, 0); put("records/identical-counted-once", practice$n_rows - practice$n_unique, 0)
put("records/set-aside-restorations", practice$twice, 0); put("records/visits-before-delivery", practice$early, 0)
put("records/restorations", nrow(rest), 0); put("records/patients", length(unique(rest$patient_id)), 0)
for (type in unique(rest$restoration_type)) put(paste0("records/type/", type), sum(rest$restoration_type == type), 0)
put("attrition/not-single", sum(rest$restoration_type != "single_crown"), 0)
put("attrition/screwless-single", sum(rest$restoration_type == "single_crown" & rest$connection == "screwless"), 0)
put("attrition/eligible", sum(practice$eligible), 0)
d <- follow(practice)
put("attrition/never-checked", sum(!d$analysed), 0); put("attrition/analysed", sum(d$analysed), 0)
put("attrition/left-out-share", mean(!d$analysed))
put("attrition/delayed-entry", sum(d$analysed & d$entry > 0), 0)
put("attrition/competing-late", sum(d$late_competing), 0)
put("attrition/without-time-at-risk", sum(d$analysed) - nrow(placed(d, "midpoint")), 0)
own <- practice$vis[practice$vis$restoration_id %in% d$restoration_id, ]
visit <- own[!duplicated(paste(own$restoration_id, own$day)), ]
put("visits/rows", nrow(own), 0); put("visits/distinct", nrow(visit), 0); put("visits/in-person", sum(visit$person), 0)
put("visits/ticked", sum(visit$ticked), 0); put("visits/presumed", sum(visit$look & !visit$ticked), 0)
put("visits/marked-no-in-person", sum(visit$person & !visit$look), 0)
for (type in c("scheduled", "unscheduled", "records_only", "telephone")) put(paste0("visits/type/", type), sum(visit$visit_type == type), 0)
put("visits/type/blank", sum(visit$visit_type == ""), 0)
put("findings/events-at-visits-marked-no", sum(sapply(which(!is.na(d$found)), function(r)
  !any(own$restoration_id == d$restoration_id[r] & own$day == d$found[r] & own$look))), 0)
for (finding in setdiff(unique(own$finding), "none")) put(paste0("findings/rows/", finding), sum(own$finding == finding), 0)
looked <- d[d$analysed, ]; put("visits/looks-mean", mean(looked$looks))

m <- placed(d, "midpoint")
for (where in c("midpoint", "found", "after")) {
  p <- placed(d, where); report_rate(paste0("all/", where), p); report_incidence(paste0("all/", where), p, TRUE)
}
# The estimator above against survival's own, on the leading placement: risks, and standard errors restoration by
# restoration (survival 3.5-3 passes over `cluster` for several states); its influences, summed over patients, where
# everybody enters at delivery.
check <- survfit(Surv(entry, time, factor(status, 0:2)) ~ 1, data = m, id = restoration_id)
own3 <- incidence(m, horizons = horizons)
theirs <- summary(check, times = horizons)
stopifnot(all(abs(theirs$pstate[, 2] - sapply(own3, `[[`, "risk")) < 1e-10),
  all(abs(theirs$std.err[, 2] - sapply(own3, function(x) sqrt(sum(x$derivative^2)))) < 1e-10))
local({
  z <- m; z$entry <- 0
  f <- survfit(Surv(z$time, factor(z$status, 0:2)) ~ 1, influence = TRUE)
  by_them <- f$influence.pstate[, max(which(f$time <= horizons[2])), 2]
  stopifnot(abs(by_patient(by_them, z$patient_id) - by_patient(incidence(z, horizons = horizons)[[2]]$derivative, z$patient_id)) < 1e-10)
})

ticks <- follow(practice, "ticked", TRUE)
put("ticks-only/never-checked", sum(!ticks$analysed), 0); put("ticks-only/found-without-a-later-look", sum(ticks$uncounted), 0)
tm <- placed(ticks, "midpoint"); report_rate("ticks-only/midpoint", tm); report_incidence("ticks-only/midpoint", tm, TRUE)
nextlook <- follow(practice, "look", TRUE)
nm <- placed(nextlook, "midpoint"); report_rate("next-look/midpoint", nm); report_incidence("next-look/midpoint", nm)

# ---- retention: product-limit, competing events end the time at risk ----
retention <- survfit(Surv(entry, time, status == 1) ~ 1, data = m, id = restoration_id, cluster = patient_id, conf.type = "log-log", robust = TRUE)
r <- summary(retention, times = horizons)
for (j in seq_along(horizons)) {
  put(paste0("retention/free/", horizon_names[j]), r$surv[j]); put(paste0("retention/free-se/", horizon_names[j]), r$std.err[j])
  put(paste0("retention/free-lower/", horizon_names[j]), r$lower[j]); put(paste0("retention/free-upper/", horizon_names[j]), r$upper[j])
}
for (y in c(0.5, 1, 2, 3, 4, 5)) put(paste0("all/numbers-at-risk/", y), sum(m$entry < y * year & m$time >= y * year), 0)
reverse <- survfit(Surv(entry, time, status == 0) ~ 1, data = m)
put("all/follow-up-median-years", unname(quantile(reverse, 0.5)$quantile) / year)

# ---- proportion: ratio estimator over patients, Wilson on the effective number ----
proportion <- function(prefix, p) {
  x <- p$status == 1; n <- length(x); share <- mean(x); clusters <- length(unique(p$patient_id))
  v <- clusters / (clusters - 1) * sum(rowsum(x - share, p$patient_id)^2) / n^2
  effect <- max(1, v / (share * (1 - share) / n)); ne <- n / effect; z <- qnorm(0.975)
  centre <- (share + z^2 / (2 * ne)) / (1 + z^2 / ne)
  half <- z / (1 + z^2 / ne) * sqrt(share * (1 - share) / ne + z^2 / (4 * ne^2))
  put(paste0(prefix, "/share"), share); put(paste0(prefix, "/design-effect"), effect)
  put(paste0(prefix, "/share-lower"), centre - half); put(paste0(prefix, "/share-upper"), centre + half)
}
proportion("all/proportion", m)

# ---- exposure groups, regions, operators, connections ----
for (g in sort(unique(d$exposure))) put(paste0("exposure/eligible/", g), sum(d$exposure == g), 0)
charted <- d$tightening_group == "repeated"
put("exposure/documented-share-of-charted-repeated", sum(charted & d$documented) / sum(charted))
put("exposure/measured-share", mean(d$exposure %in% c("single", "repeated-in-window", "repeated-outside-window", "undone")))
for (g in sort(unique(m$exposure))) {
  p <- m[m$exposure == g, ]; report_rate(paste0("exposure/", g), p)
  if (sum(p$status == 1) >= 3) report_incidence(paste0("exposure/", g), p)
}
for (by in c("region", "operator_id", "connection", "clinic_id", "bruxism")) for (g in sort(unique(m[[by]]))) {
  p <- m[m[[by]] == g, ]; report_rate(paste0(by, "/", g), p)
  if (sum(p$status == 1) >= 3) report_incidence(paste0(by, "/", g), p)
}

# ---- the comparison under overlap weights ----
spline <- function(x, knots) {
  k <- length(knots); cube <- function(v) pmax(v, 0)^3; last <- knots[k]; before <- knots[k - 1]
  cols <- sapply(seq_len(k - 2), function(j) (cube(x - knots[j]) - cube(x - before) * (last - knots[j]) / (last - before) +
    cube(x - last) * (before - knots[j]) / (last - before)) / (last - knots[1])^2)
  cbind(x, cols)
}
compare <- function(prefix, d, where) {
  p <- placed(d, where); p <- p[p$exposure %in% c("single", "repeated-in-window"), ]
  known <- p$bruxism != "" & p$opposing != ""; put(paste0(prefix, "/incomplete"), sum(!known), 0); p <- p[known, ]
  a <- as.numeric(p$exposure == "repeated-in-window")
  days <- (p$delivery - min(p$delivery)) / year
  knots <- quantile(days, c(0.05, 0.35, 0.65, 0.95), type = 7)
  X <- cbind(model.matrix(~ operator_id + region + bruxism + connection + component_system + opposing, p),
    diameter = as.numeric(p$implant_diameter_mm), age = as.numeric(p$age_at_delivery_years), spline(days, unname(knots)))
  stopifnot(qr(X)$rank == ncol(X))
  fit <- glm.fit(X, a, family = binomial(), control = list(epsilon = 1e-14, maxit = 100))
  e <- fit$fitted.values; w <- ifelse(a == 1, 1 - e, e)
  put(paste0(prefix, "/score-coefficients"), ncol(X), 0)
  put(paste0(prefix, "/score-deviance"), fit$deviance, 1e-7)
  put(paste0(prefix, "/weights-sum-group"), sum(w[a == 1]), 1e-6); put(paste0(prefix, "/weights-sum-against"), sum(w[a == 0]), 1e-6)
  put(paste0(prefix, "/effective-group"), sum(w[a == 1])^2 / sum(w[a == 1]^2), 1e-6)
  put(paste0(prefix, "/effective-against"), sum(w[a == 0])^2 / sum(w[a == 0]^2), 1e-6)
  put(paste0(prefix, "/restorations-group"), sum(a), 0); put(paste0(prefix, "/restorations-against"), sum(1 - a), 0)
  put(paste0(prefix, "/events-group"), sum(p$status == 1 & a == 1), 0); put(paste0(prefix, "/events-against"), sum(p$status == 1 & a == 0), 0)
  one <- incidence(p[a == 1, ], w[a == 1], horizons); zero <- incidence(p[a == 0, ], w[a == 0], horizons)
  scores <- (a - e) * X; bread <- solve(crossprod(X * sqrt(e * (1 - e))))
  for (j in seq_along(horizons)) {
    U1 <- U0 <- numeric(nrow(p)); U1[a == 1] <- one[[j]]$derivative; U0[a == 0] <- zero[[j]]$derivative
    U <- U1 - U0; dw <- ifelse(a == 1, -1, 1) * e * (1 - e)
    fixed <- by_patient(w * U, p$patient_id)
    corrected <- by_patient(w * U + drop(scores %*% bread %*% drop(crossprod(X, dw * U))), p$patient_id)
    se <- max(fixed, corrected); diff <- one[[j]]$risk - zero[[j]]$risk
    df <- length(unique(p$patient_id[p$status == 1 & p$time <= horizons[j]])) - 2; t <- qt(0.975, df)
    id <- function(what) sprintf("%s/%s/%s", prefix, what, horizon_names[j])
    put(id("risk-group"), one[[j]]$risk, 1e-6); put(id("risk-against"), zero[[j]]$risk, 1e-6)
    put(id("risk-group-se-scores-known"), by_patient(w * U1, p$patient_id), 1e-6)
    put(id("risk-against-se-scores-known"), by_patient(w * U0, p$patient_id), 1e-6)
    put(id("difference"), diff, 1e-6); put(id("se-scores-known"), fixed, 1e-6); put(id("se-scores-estimated"), corrected, 1e-6)
    put(id("degrees-of-freedom"), df, 0); put(id("lower"), diff - t * se, 1e-6); put(id("upper"), diff + t * se, 1e-6)
  }
}
for (where in c("midpoint", "found", "after")) compare(paste0("comparison/", where), d, where)
# overlap of operator and period: another crown of the same operator the other way, delivered within a year
compared <- m[m$exposure %in% c("single", "repeated-in-window"), ]
both <- sapply(seq_len(nrow(compared)), function(i) any(compared$operator_id == compared$operator_id[i] &
  compared$exposure != compared$exposure[i] & abs(compared$delivery - compared$delivery[i]) <= year))
put("comparison/overlap-share", mean(both))
# early events (no clean look before) and time before the first look, for the immortal time test
for (g in c("single", "repeated-in-window")) {
  p <- compared[compared$exposure == g, ]
  put(paste0("immortal/early-events/", g), sum(p$status == 1 & p$last_clean == p$entry), 0)
  put(paste0("immortal/late-events/", g), sum(p$status == 1 & p$last_clean > p$entry), 0)
}
gaps <- follow(cohort_of("records-missing"))
compare("missing/complete-cases", gaps, "midpoint")

ids <- sapply(out, `[[`, "id"); stopifnot(!any(duplicated(ids)))
lines <- sapply(out, function(v) sprintf('  { "id": "%s", "value": %s, "tolerance": %s }', v$id, format(v$value, digits = 15, scientific = FALSE), format(v$tolerance)))
writeLines(c('[', paste(lines, collapse = ",\n"), ']'), "expected.json")
cat(length(out), "values\n")
