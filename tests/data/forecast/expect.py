#!/usr/bin/env python3
"""Writes expected.json: what score.py beside it says of the three prediction files beside it.
usage: expect.py (needs numpy and pandas; run again after any change of score.py or of the files)"""
import json,math,os
import pandas as pd
import score
here=os.path.dirname(os.path.abspath(__file__)); folder=os.path.join(here,"..","discharge")
def plain(row): return {k:(None if isinstance(v,float) and math.isnan(v) else v) for k,v in row.items()}
out={}
for name in ("pred_cc5_iv","pred_cc5_v","pred_odd"):
    S=score.score(folder,pd.read_csv(os.path.join(here,name+".csv"),dtype={"trace":str}))
    out[name]={"traces":[plain(r) for r in S.to_dict("records")],
               "scenarios":{k:plain(v) for k,v in score.summarise(S).to_dict("index").items()}}
json.dump(out,open(os.path.join(here,"expected.json"),"w"),indent=1)
