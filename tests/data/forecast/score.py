#!/usr/bin/env python3
"""Scores time-to-empty predictions.
usage: score.py DATA_SPLIT_DIR PREDICTIONS.csv [--sub sim|real|all (default sim)] [--by scenario|pack|none] [--json]
 DATA_SPLIT_DIR holds *_truth.csv (trace,scenario,t_end_s,...) and TRACE.csv (t_s,mode,ext,...) in sim/, in real/ or beside it.
 PREDICTIONS.csv: trace,t,p10,p50,p90 - t in seconds since the trace began (a multiple of 60 is expected),
 p10/p50/p90 = quantiles of the REMAINING time in seconds (inf/nan/empty = "no prediction", counted as 86400 s).
Definitions (R = t_end - t, the true remaining time):
 eligible rows   t%60==0, 0.30<=t/t_end<=0.90, the reported mode at t is rec or standby and ext==0
 med, p90        median / 90th percentile of |p50-R|/R over eligible rows; first per trace, then mean over traces
                 (every trace weighs the same; rows missing from the file count as error 1.0, miss, uncovered)
 al              share of eligible rows with |p50-R| <= 0.2 R (alpha-lambda, alpha=0.2), mean over traces
 cov, wid        share of eligible rows with p10<=R<=p90; mean of (p90-p10)/R with R floored at 60 s, clipped at 10
 ape10           |p50-R| median in minutes over rows with 5 min <= R <= 30 min and ext==0 (the swap-call zone)
 call latch      walking all rows of the trace in time order: set when p10<600 s; cleared when p10>1200 s
 late            the trace's latch was not set at some t<=t_end-300 and kept set to the end (incl. never set)
 early           any setting of the latch at R>1500 s
 lead            median over traces with a latch set at the end: R (minutes) when it was last set
"""
import sys,os,json,glob
import numpy as np,pandas as pd
CAP=86400.0
def load_truth(d,sub="sim"):
    f=[pd.read_csv(x) for x in sorted(glob.glob(os.path.join(d,("*" if sub=="all" else sub)+"_truth.csv")))]
    t=pd.concat(f,ignore_index=True); t["trace"]=t["trace"].astype(str); return t
def find(d,tr):
    for sub in("sim","real",""):
        p=os.path.join(d,sub,tr+".csv")
        if os.path.exists(p): return p
    raise FileNotFoundError(tr)
_mode={}
def modes(d,tr):
    if (d,tr) not in _mode:
        x=pd.read_csv(find(d,tr),usecols=["t_s","mode","ext"]); _mode[(d,tr)]=(x.t_s.values,x["mode"].values.astype(str),x.ext.values)
    return _mode[(d,tr)]
def score_trace(d,tr,t_end,P):
    ts,md,ex=modes(d,tr)
    T=np.arange(60,t_end,60.0)
    i=np.clip(np.searchsorted(ts,T,side="right")-1,0,len(ts)-1)
    el=(T>=0.3*t_end)&(T<=0.9*t_end)&((md[i]=="rec")|(md[i]=="standby"))&(ex[i]==0)
    R=t_end-T
    p=P.set_index("t").reindex(T)[["p10","p50","p90"]].astype(float).values
    miss=np.isnan(p).all(1); p=np.where(np.isfinite(p),p,CAP); p=np.clip(p,0,CAP)
    out={}
    e=np.where(miss,1.0,np.abs(p[:,1]-R)/R)
    if el.any():
        out.update(med=np.median(e[el]),p90=np.quantile(e[el],.9),al=np.mean(e[el]<=0.2),
          cov=np.mean((p[el,0]<=R[el])&(R[el]<=p[el,2])&~miss[el]),wid=np.mean(np.minimum(10,(p[el,2]-p[el,0])/np.maximum(60,R[el]))))
    z=(R>=300)&(R<=1800)&(ex[i]==0)
    if z.any(): out["ape10"]=np.median(np.abs(p[z,1]-R[z]))/60
    on=False; setR=None; early=False
    for k in range(len(T)):
        if miss[k]: continue
        if not on and p[k,0]<600: on=True; setR=R[k]; early|=R[k]>1500
        elif on and p[k,0]>1200: on=False
    out["late"]=float(not(on and setR>=300)); out["early"]=float(early)
    if on: out["lead"]=setR/60
    return out
def score(d,pred,truth=None,traces=None):
    truth=load_truth(d) if truth is None else truth
    g=dict(tuple(pred.groupby("trace")))
    rows=[]
    for r in truth.itertuples():
        if traces is not None and r.trace not in traces: continue
        P=g.get(r.trace,pd.DataFrame(columns=["t","p10","p50","p90"]))
        s=score_trace(d,r.trace,float(r.t_end_s),P.drop_duplicates("t")); s.update(trace=r.trace,scenario=r.scenario,pack=r.pack); rows.append(s)
    return pd.DataFrame(rows)
COLS=["med","p90","al","cov","wid","ape10","late","early"]
def summarise(S,by="scenario"):
    f=lambda x:pd.Series({**{c:x[c].mean() for c in COLS if c in x},"lead":x["lead"].median() if "lead" in x else np.nan,"n":len(x)})
    parts={"ALL":f(S)}
    if by!="none":
        for k,x in S.groupby(by): parts[str(k)]=f(x)
    return pd.DataFrame(parts).T
if __name__=="__main__":
    a=sys.argv[1:]; opt={"--by":"scenario","--sub":"sim"}
    for k in opt:
        if k in a: i=a.index(k); opt[k]=a[i+1]; del a[i:i+2]
    by=opt["--by"]; a=[x for x in a if x!="--json"]
    pred=pd.read_csv(a[1],dtype={"trace":str})
    S=score(a[0],pred,load_truth(a[0],opt["--sub"])); out=summarise(S,by)
    print(out.to_json(orient="index") if "--json" in sys.argv else out.round(3).to_string())
