"""Makes logistic.tsv: made-up facts and the weights that scikit-learn fits to them.

    pip install scikit-learn==1.9.1 numpy==2.4.6
    python logistic.py
"""

from pathlib import Path

import numpy as np
from sklearn.linear_model import LogisticRegression

chance = np.random.default_rng(7)
doubts = np.round(np.column_stack([
    chance.exponential(0.4, 400),
    chance.integers(0, 2, 400),
    chance.choice([0, 0.5, 1, 3], 400),
]), 3)
odds = 3 - doubts @ np.array([2.0, 0.8, 0.5])
right = (chance.random(400) < 1 / (1 + np.exp(-odds))).astype(int)
# C is the inverse of the ridge; both leave the intercept free.
model = LogisticRegression(C=1.0, tol=1e-10, max_iter=10000).fit(doubts, right)
rows = [[*model.intercept_, *model.coef_[0]], *([r, *d] for r, d in zip(right, doubts))]
text = "".join("\t".join(f"{cell:.9g}" for cell in row) + "\n" for row in rows)
(Path(__file__).parent / "logistic.tsv").write_text(text)
