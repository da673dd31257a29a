# The same work in R's survival and cmprsk packages, for bench/estimators.mjs. Prints the seconds of the fit alone.
arguments <- commandArgs(trailingOnly = TRUE)
folder <- arguments[1]
suppressMessages(library(survival))
column <- function(name) {
  path <- file.path(folder, paste0(name, ".bin"))
  readBin(path, "double", n = file.info(path)$size / 8)
}
names <- c("time", "status", "event", "group", "patient", "x1", "x2", "x3", "x4")
rows <- as.data.frame(setNames(lapply(names, column), names))
model <- Surv(time, event) ~ group + x1 + x2 + x3 + x4
work <- switch(arguments[2],
  "curves" = quote(survfit(Surv(time, event) ~ group, data = rows)),
  "log-rank" = quote(survdiff(Surv(time, event) ~ group, data = rows)),
  "robust-curve" = quote(survfit(Surv(time, event) ~ 1, data = rows, cluster = patient)),
  "aalen-johansen" = {
    rows$status <- factor(rows$status, 0:2)
    quote(survfit(Surv(time, status) ~ group, data = rows))
  },
  "cox" = quote(coxph(model, data = rows)),
  "cox-robust" = quote(coxph(model, data = rows, cluster = patient)),
  "fine-gray" = {
    suppressMessages(library(cmprsk))
    quote(crr(rows$time, rows$status, as.matrix(rows[, c("group", "x1", "x2", "x3", "x4")])))
  }
)
cat(system.time(eval(work))[["elapsed"]])
