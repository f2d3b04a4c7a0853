"""Reads the results of a batch with pandas, CSV against Parquet. By hand: pip install pandas pyarrow; python tests/pandas/check.py DIR"""

import sys

import pandas as pd

folder = sys.argv[1]
for name in ["results", "winters"]:
    text = pd.read_csv(f"{folder}/{name}.csv", comment="#", dtype=str)
    exact = pd.read_parquet(f"{folder}/{name}.parquet")
    assert list(text.columns) == list(exact.columns) and len(text) == len(exact) > 0, name
    for column in exact.columns:
        if pd.api.types.is_numeric_dtype(exact[column]):
            decimals = text[column].dropna().map(lambda cell: len(cell.partition(".")[2]))
            half = 0.5 * 10.0 ** -max(decimals, default=0)
            wrong = (text[column].astype(float) - exact[column]).abs() > half * (1 + 1e-9)
            assert not wrong.any() and (text[column].isna() == exact[column].isna()).all(), column
        else:
            assert (text[column].fillna("") == exact[column].fillna("")).all(), column
    print(f"{name}: {len(exact)} rows, {len(exact.columns)} columns, the same in both")
