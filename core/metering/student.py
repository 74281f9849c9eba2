"""Quantiles of Student's t distribution, by Hill's expansion (G. W. Hill, Algorithm 396, Comm. ACM 13, 1970).

Good to about six digits for two or more degrees of freedom; one and two have closed forms.
"""

from __future__ import annotations

import math
from statistics import NormalDist

__all__ = ["t_quantile"]


def t_quantile(probability: float, freedom: int) -> float:
    """Return the value that t does not exceed with a probability between 0.5 and 1.

    Examples
    --------
    >>> round(t_quantile(0.95, 23), 4)
    1.7139
    """
    if not 0.5 <= probability < 1.0 or freedom < 1:
        raise ValueError("The probability must lie in 0.5 to 1, and there must be one degree of freedom at least.")
    both = 2.0 * (1.0 - probability)
    if both >= 1.0:
        return 0.0
    if freedom == 1:
        return math.cos(both * math.pi / 2) / math.sin(both * math.pi / 2)
    if freedom == 2:
        return math.sqrt(2.0 / (both * (2.0 - both)) - 2.0)
    n = float(freedom)
    a = 1.0 / (n - 0.5)
    b = 48.0 / a**2
    c = ((20700.0 * a / b - 98.0) * a - 16.0) * a + 96.36
    d = ((94.5 / (b + c) - 3.0) / b + 1.0) * math.sqrt(a * math.pi / 2) * n
    y = (d * both) ** (2.0 / n)
    if y > 0.05 + a:
        x = NormalDist().inv_cdf(both / 2)
        y = x**2
        if freedom < 5:
            c += 0.3 * (n - 4.5) * (x + 0.6)
        c = (((0.05 * d * x - 5.0) * x - 7.0) * x - 2.0) * x + b + c
        y = (((((0.4 * y + 6.3) * y + 36.0) * y + 94.5) / c - y - 3.0) / b + 1.0) * x
        y = math.expm1(a * y**2)
    else:
        y = ((1.0 / (((n + 6.0) / (n * y) - 0.089 * d - 0.822) * (n + 2.0) * 3.0) + 0.5 / (n + 4.0)) * y - 1.0) * (
            n + 1.0
        ) / (n + 2.0) + 1.0 / y
    return math.sqrt(n * y)
