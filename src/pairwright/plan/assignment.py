"""The cheapest way to give each of some rows a column of its own."""

from __future__ import annotations


def least_cost(cost: list[list[float]]) -> float:
    """Total cost of the best assignment of a square table; costs must not be negative.

    References
    ----------
    H. W. Kuhn, "The Hungarian method for the assignment problem", Naval Research Logistics
    Quarterly 2 (1955) 83-97; here with row and column potentials and shortest augmenting paths.

    Examples
    --------
    >>> least_cost([[4.0, 1.0], [2.0, 3.0]])
    3.0
    """
    n = len(cost)
    inf = float("inf")
    row_price = [0.0] * (n + 1)
    column_price = [0.0] * (n + 1)
    owner = [0] * (n + 1)  # row that holds a column; row and column 0 are a start outside the table
    for row in range(1, n + 1):
        owner[0] = row
        slack = [inf] * (n + 1)
        came = [0] * (n + 1)
        used = [False] * (n + 1)
        column = 0
        while owner[column]:
            used[column] = True
            i, step, best = owner[column], inf, 0
            for j in range(1, n + 1):
                if used[j]:
                    continue
                reduced = cost[i - 1][j - 1] - row_price[i] - column_price[j]
                if reduced < slack[j]:
                    slack[j], came[j] = reduced, column
                if slack[j] < step:
                    step, best = slack[j], j
            for j in range(n + 1):
                if used[j]:
                    row_price[owner[j]] += step
                    column_price[j] -= step
                else:
                    slack[j] -= step
            column = best
        while column:
            before = came[column]
            owner[column] = owner[before]
            column = before
    return sum(cost[owner[j] - 1][j - 1] for j in range(1, n + 1))
