# General-purpose regression on the same files: train.csv, test.csv, premium.csv in
# the folder given. Prints one row a method.
folder <- commandArgs(TRUE)[1]
read <- function(f) {
  d <- read.csv(file.path(folder, f), stringsAsFactors = FALSE)
  d$q <- substr(d$date, 1, 4)
  d$quarter <- paste0(d$q, "-Q", (as.integer(substr(d$date, 6, 7)) - 1) %/% 3 + 1)
  d$channel <- paste(d$venue, d$basis)
  d$missing <- paste(is.na(d$condition), is.na(d$originality))
  d$condition[is.na(d$condition)] <- 7
  d$originality[is.na(d$originality)] <- 0.85
  d
}
train <- read("train.csv")
test <- read("test.csv")
premium <- read.csv(file.path(folder, "premium.csv"))
quarters <- sort(unique(train$quarter))
# Later quarters take the effect of the last one.
clamp <- function(q) { q[!(q %in% quarters)] <- quarters[length(quarters)]; q }
test$quarter <- clamp(test$quarter)
test <- test[test$reference %in% train$reference, ]
for (v in c("reference", "family", "maker", "quarter", "metal", "dial", "completeness", "channel", "country", "missing")) {
  l <- sort(unique(train[[v]]))
  train[[v]] <- factor(train[[v]], l)
  test[[v]] <- factor(test[[v]], l)
}
keep <- complete.cases(test[, c("missing", "channel")])
test <- test[keep, ]
base <- test[rep(1, 2 * length(quarters)), ]
base$quarter <- factor(rep(quarters, 2), levels(train$quarter))
base$metal <- factor(rep(c("gold18", "steel"), each = length(quarters)), levels(train$metal))
report <- function(name, fit, seconds, centre, half) {
  p <- exp(centre(fit, test))
  h <- half(fit, test)
  b <- centre(fit, base)
  n <- length(quarters)
  got <- exp(b[1:n] - b[n + 1:n]) - 1
  want <- premium$premium[match(quarters, premium$quarter)]
  inside <- abs(log(test$price) - log(p)) <= h
  cat(sprintf("| %s | %.2f | %.1f | %.3f | %.2f | %.2f |\n", name, median(100 * abs(p / test$price - 1)), 100 * mean(inside), median(exp(2 * h)), 100 * sqrt(mean((got - want)^2)), seconds))
}
# Without gaps in the data the pattern of gaps is no regressor.
tidy <- function(f) if (nlevels(train$missing) > 1) f else update(f, . ~ . - missing)
cpu <- function(expr) { t <- system.time(expr); t[[1]] + t[[2]] }
flat <- tidy(log(price) ~ reference + quarter * metal + dial + completeness + channel + country + missing + condition + originality + year)
s <- cpu(m <- lm(flat, train))
report("R lm", m, s, function(f, d) predict(f, d), function(f, d) { x <- predict(f, d, interval = "prediction", level = 0.9); (x[, 3] - x[, 2]) / 2 })
if (requireNamespace("lme4", quietly = TRUE) && nrow(train) <= 100000) {
  mixed <- tidy(log(price) ~ (1 | maker) + (1 | family) + (1 | reference) + quarter * metal + dial + completeness + channel + country + missing + condition + originality + year)
  s <- cpu(m <- suppressMessages(lme4::lmer(mixed, train)))
  report("R lme4", m, s, function(f, d) predict(f, d), function(f, d) rep(1.645 * sigma(f), nrow(d)))
}
if (requireNamespace("mgcv", quietly = TRUE)) {
  suppressMessages(library(mgcv))
  train$t <- as.integer(train$quarter); test$t <- as.integer(test$quarter); base$t <- as.integer(base$quarter)
  smooth <- tidy(log(price) ~ s(reference, bs = "re") + s(family, bs = "re") + s(maker, bs = "re") + metal + s(t, k = 20) + s(t, by = metal, k = 12) + dial + completeness + channel + country + missing + condition + originality + year)
  s <- cpu(m <- bam(smooth, data = train, discrete = TRUE))
  report("R mgcv::bam, discrete", m, s, function(f, d) as.vector(predict(f, d)), function(f, d) rep(1.645 * sqrt(f$sig2), nrow(d)))
  if (nrow(train) <= 50000) {
    s <- cpu(m <- bam(smooth, data = train, discrete = TRUE, family = scat()))
    th <- m$family$getTheta(TRUE)
    report("R mgcv::bam, scaled t", m, s, function(f, d) as.vector(predict(f, d)), function(f, d) rep(qt(0.95, th[1]) * th[2], nrow(d)))
  }
}
