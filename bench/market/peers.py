# Gradient boosting of scikit-learn on the same files: three quantile fits.
import sys
import time

import numpy as np
import pandas as pd
from sklearn.ensemble import HistGradientBoostingRegressor

folder = sys.argv[1]


def read(name):
    d = pd.read_csv(f"{folder}/{name}")
    d["t"] = d.date.str[:4].astype(int) * 4 + (d.date.str[5:7].astype(int) - 1) // 3
    d["channel"] = d.venue + d.basis
    return d


train, test, premium = read("train.csv"), read("test.csv"), pd.read_csv(f"{folder}/premium.csv")
sparse = ["reference", "family", "maker", "metal", "dial", "completeness", "channel", "country"]
y = np.log(train.price)
mean = y.mean()
table = {}
for c in sparse:
    table[c] = (y.groupby(train[c]).sum() + 5 * mean) / (y.groupby(train[c]).count() + 5)


def columns(d):
    x = pd.DataFrame({c: d[c].map(table[c]).fillna(mean) for c in sparse})
    for c in ["t", "condition", "originality", "year"]:
        x[c] = d[c]
    return x


start = time.process_time()
fit = {}
for q in [0.05, 0.5, 0.95]:
    fit[q] = HistGradientBoostingRegressor(loss="quantile", quantile=q, max_iter=300).fit(columns(train), y)
seconds = time.process_time() - start
p = {q: np.exp(m.predict(columns(test))) for q, m in fit.items()}
quarters = sorted(train.t.unique())
base = test.iloc[[0] * len(quarters)].copy()
base["t"] = quarters
gold, steel = base.assign(metal="gold18"), base.assign(metal="steel")
got = np.exp(fit[0.5].predict(columns(gold)) - fit[0.5].predict(columns(steel))) - 1
want = premium.set_index("quarter").premium
want = np.array([want[f"{q // 4}-Q{q % 4 + 1}"] for q in quarters])
inside = (test.price >= p[0.05]) & (test.price <= p[0.95])
print(f"| scikit-learn gradient boosting, 3 fits | {np.median(100 * abs(p[0.5] / test.price - 1)):.2f} | {100 * inside.mean():.1f} | "
      f"{np.median(p[0.95] / p[0.05]):.3f} | {100 * np.sqrt(np.mean((got - want) ** 2)):.2f} | {seconds:.2f} |")
