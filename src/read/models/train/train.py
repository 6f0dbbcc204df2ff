"""Trains sizes (S, M) side by side on the same batches for so many seconds, while render.py's processes fill FOLDER.
    python3 train.py FOLDER OUT SECONDS S,M [checkpoint folder to go on from] [peak rate]
A checkpoint for lines of 32 rows without the class of handwriting is widened to 40 rows and that class.
On several GPUs one process each, with RANK and WORLD set and a FOLDER of its own: gradients are averaged, and the first
process tells the time. FUSE=1 trains without batch norms (twice as fast, for nets that have learned). FADE=L=N:3,6 begins
size L with the layers of size N, fades its residual layers body.3 and body.6 out over the first sixth of the time and
takes them away. TEACH=N lets the other sizes learn from what N makes of the same lines, too; with KEEP=1 N itself stays as
it is, which leaves the others more steps; with FOLLOW=FILE it is what another process, which trains it, writes there.
"""
import copy, glob, os, sys, time
import numpy as np, torch, torch.nn.functional as F
import render
from augment import augment
from model import fused, load, make

folder, out, seconds, sizes = sys.argv[1], sys.argv[2], float(sys.argv[3]), sys.argv[4].split(',')
start = sys.argv[5] if len(sys.argv) > 5 and sys.argv[5] != '-' else None
peak = float(sys.argv[6]) if len(sys.argv) > 6 else 2e-3
rank, world = (int(os.environ.get(k, n)) for k, n in (('RANK', 0), ('WORLD', 1)))
fade, begins = {}, {}
if os.environ.get('FADE'):
    small, large, layers = os.environ['FADE'].replace('=', ':').split(':')
    fade[small], begins[small] = [int(n) for n in layers.split(',')], large
follow, followed = os.environ.get('FOLLOW'), 0
teacher, keep_teacher = os.environ.get('TEACH'), bool(os.environ.get('KEEP'))
if teacher: sizes.sort(key=lambda s: s != teacher)
d = 'cuda' if torch.cuda.is_available() else 'cpu'
if d == 'cuda': torch.cuda.set_device(rank)
torch.manual_seed(int(time.time()) + 1000 * rank)
if world > 1:
    import torch.distributed as dist
    dist.init_process_group('nccl', init_method='tcp://127.0.0.1:29511', rank=rank, world_size=world)
torch.backends.cudnn.benchmark = False; torch.backends.cuda.matmul.allow_tf32 = True; torch.backends.cudnn.allow_tf32 = True
WIDTHS, CAP, AREA = (320, 640, 960, 1280, 1792), (130000 if d == 'cuda' else 1500), (int(os.environ.get('AREA', 620 * 1280)) if d == 'cuda' else 8 * 1280)
CLASSES = len(render.CHARS) + 1
os.makedirs(out, exist_ok=True)

def widened(state, classes):
    k = 'body.%d.conv.weight' % max(int(n.split('.')[1]) for n in state if n.startswith('body'))
    w = state[k]
    if w.shape[2] == 4: state[k] = F.interpolate(w, (5, w.shape[3]), mode='bilinear', align_corners=True) * .8
    for k in ('out.weight', 'out.bias'):
        have = state[k]
        if have.shape[0] < classes:
            more = have.mean(0, keepdim=True).expand(classes - have.shape[0], *have.shape[1:]) * .5
            state[k] = torch.cat([have, more - (1. if k == 'out.bias' else 0.)])
    return state

class Pool:
    def __init__(self): self.b = [None] * len(WIDTHS); self.seen = [0] * len(WIDTHS); self.done = set()
    def add(self, file, keep=False):
        z = np.load(file); flat, w, rows, text = torch.from_numpy(z['flat']).to(d), z['width'], z['rows'], z['text']
        if not keep: os.remove(file)
        at = np.concatenate([[0], np.cumsum(w.astype(np.int64) * 64)])
        for k, wide in enumerate(WIDTHS):
            ids = [i for i in range(len(w)) if (0 if k == 0 else WIDTHS[k - 1]) < w[i] <= wide]
            if not ids: continue
            if self.b[k] is None: self.b[k] = dict(pic=torch.zeros(CAP, 64, wide, dtype=torch.uint8, device=d), w=torch.zeros(CAP, device=d), rows=torch.zeros(CAP, 2, device=d), t=torch.zeros(CAP, 112, dtype=torch.long, device=d), n=torch.zeros(CAP, dtype=torch.long, device=d))
            B = self.b[k]; slots = [(self.seen[k] + i) % CAP for i in range(len(ids))]
            T = np.zeros((len(ids), 112), np.int64)
            for j, (i, s) in enumerate(zip(ids, slots)):
                B['pic'][s].zero_(); B['pic'][s, :, :w[i]] = flat[at[i]:at[i + 1]].view(64, -1)
                c = [render.INDEX[c] for c in text[i]][:112]; T[j, :len(c)] = c
            s = torch.tensor(slots, device=d)
            B['w'][s] = torch.tensor(w[ids], device=d).float(); B['rows'][s] = torch.tensor(rows[ids], device=d).float()
            B['t'][s] = torch.tensor(T, device=d); B['n'][s] = torch.tensor([min(112, len(text[i])) for i in ids], device=d)
            self.seen[k] += len(ids)
    def size(self): return [min(s, CAP) for s in self.seen]
    def batch(self, k, idx):
        B = self.b[k]; return B['pic'][idx], B['w'][idx], B['rows'][idx], B['t'][idx], B['n'][idx]
    def draw(self):
        n = np.array(self.size(), float); a = n * np.array(WIDTHS); k = np.random.choice(len(n), p=a / a.sum())
        return self.batch(k, torch.randint(int(n[k]), (min(max(1, AREA // WIDTHS[k]), 2048),), device=d))

def decode(lp, lengths):
    best = lp.argmax(2).T.cpu().numpy(); res = []
    for row, n in zip(best, lengths.tolist()):
        s, last = [], 0
        for c in row[:n]:
            if c and c != last: s.append(render.CHARS[c - 1])
            last = c
        res.append(''.join(s))
    return res

def distance(a, b):
    p = np.arange(len(b) + 1); cb = np.array([ord(x) for x in b])
    for i, x in enumerate(a):
        q = np.minimum(p[:-1] + (cb != ord(x)), p[1:] + 1); q = np.concatenate([[i + 1], q]); r = np.arange(len(q)); p = np.minimum.accumulate(q - r) + r
    return int(p[-1])

def test(model, pool, limit=3000):
    model.eval(); e = n = 0; state = torch.random.get_rng_state(), torch.cuda.get_rng_state() if d == 'cuda' else None
    torch.manual_seed(5); bad = []
    with torch.no_grad():
        for k in range(len(WIDTHS)):
            for i in range(0, min(pool.size()[k], limit // 4), 256):
                pic, w, rows, t, m = pool.batch(k, torch.arange(i, min(i + 256, pool.size()[k]), device=d))
                x, wo = augment(pic, w, rows)
                with torch.autocast(d, torch.bfloat16): y = model(x)
                for got, tt, mm in zip(decode(y, torch.full((len(w),), y.shape[0])), t.tolist(), m.tolist()):
                    want = ''.join(render.CHARS[c - 1] for c in tt[:mm]); v = distance(got, want) if got else len(want); e += v; n += len(want)
                    if v: bad.append((v / len(want), want, got))
    torch.random.set_rng_state(state[0]); 
    if d == 'cuda': torch.cuda.set_rng_state(state[1])
    model.train(); return e / max(n, 1), bad

pool, held = Pool(), Pool()
models = {s: load(widened(torch.load(f'{start}/{begins.get(s, s)}.pt', map_location='cpu'), CLASSES), begins.get(s, s), CLASSES) if start else make(s, CLASSES) for s in sizes}
if os.environ.get('FUSE'): models = {s: fused(m) for s, m in models.items()}
models = {s: m.to(d, memory_format=torch.channels_last).train() for s, m in models.items()}; mean = {s: copy.deepcopy(m) for s, m in models.items()}
if keep_teacher: models[teacher].eval()
for s in sizes: print(s, sum(p.numel() for p in models[s].parameters()), 'weights', flush=True)
if world > 1:
    for s in sizes:
        for v in models[s].state_dict().values(): dist.broadcast(v, 0)
opt = {s: torch.optim.AdamW(models[s].parameters(), lr=peak, weight_decay=.01, betas=(.9, .98), foreach=True) for s in sizes}
def packed(s):
    """The mean weights without layers that were taken away: those behind them move up."""
    state = mean[s].state_dict(); gone = [f for f in fade.get(s, ()) if not any(k.startswith(f'body.{f}.') for k in state)]
    def name(k):
        n = k.split('.')
        if n[0] == 'body': n[1] = str(int(n[1]) - sum(f < int(n[1]) for f in gone))
        return '.'.join(n)
    return {name(k): v for k, v in state.items()}

def agreed(model, elapsed):
    """Averages the gradients of all processes; returns the first one's time."""
    if world == 1: return elapsed
    g = [p.grad for p in model.parameters() if p.grad is not None]
    flat = torch.cat([x.reshape(-1) for x in g] + [torch.tensor([elapsed if rank == 0 else 0.], device=d)])
    dist.all_reduce(flat); at = 0
    for x in g: x.copy_(flat[at:at + x.numel()].view_as(x) / world); at += x.numel()
    return flat[-1].item()

t0 = time.time(); elapsed = 0.; step = lines = 0; last = saved = t0; loss_sum = {s: 0. for s in sizes}; loss_n = 0
while elapsed < seconds:
    if step % (8 if sum(pool.size()) > 60000 else 1) == 0:
        new = sorted(glob.glob(folder + '/s*.npz'), key=os.path.getmtime)
        for f in new[:1 if sum(pool.size()) > 20000 else 4]: pool.add(f)
        if not sum(held.size()) and rank == 0:
            for f in glob.glob(folder + '/test/s*.npz'): held.add(f, keep=True)
    if sum(pool.size()) < int(os.environ.get('LEAST', 5000)): time.sleep(1); continue
    if not step:
        if sum(held.size()): print('before', {s: round(test(mean[s], held)[0], 5) for s in sizes}, flush=True)
        t0 = time.time()
    part = elapsed / seconds
    for s in fade:
        for m in (models[s], mean[s]):
            for f in fade[s]:
                if part >= 1 / 6: m.body[f] = torch.nn.Identity()
                else: m.body[f].share = 1 - part * 6
    rate = peak * min(1, (step + 1) / int(os.environ.get("WARM", 300))) * max(0, 1 - part)
    if step in (400, 401) and d == 'cuda': torch.cuda.synchronize(); mark = time.time()
    pic, w, rows, t, n = pool.draw()
    with torch.no_grad(): x, wo = augment(pic, w, rows, hard=min(1., .3 + part * 4) if not start else .9)
    steps = torch.full((len(w),), x.shape[3] // 4, dtype=torch.long, device=d)   # the paper behind a line is nothing, and learned as that
    if step in (400, 401) and d == 'cuda': torch.cuda.synchronize(); print('batch', len(w), 'made in', time.time() - mark, flush=True); mark = time.time()
    for s in sizes:
        if s == teacher and keep_teacher:
            with torch.no_grad(), torch.autocast(d, torch.bfloat16): taught = F.log_softmax(models[s](x.contiguous(memory_format=torch.channels_last)).float(), 2)
            continue
        with torch.autocast(d, torch.bfloat16): y = models[s](x.contiguous(memory_format=torch.channels_last))
        y = F.log_softmax(y.float(), 2); loss = F.ctc_loss(y, t, steps, n, zero_infinity=True)
        told = loss.detach()
        if s == teacher: taught = y.detach()
        elif teacher: loss = loss + F.kl_div(y, taught, reduction='sum', log_target=True) / n.sum()
        opt[s].zero_grad(set_to_none=True); loss.backward(); elapsed = agreed(models[s], time.time() - t0)
        torch.nn.utils.clip_grad_norm_(models[s].parameters(), 1.0)
        for g in opt[s].param_groups: g['lr'] = rate
        opt[s].step()
        with torch.no_grad():
            keep = min(.9995, (step + 1) / (step + 20)); a, b = mean[s].state_dict(), models[s].state_dict()
            fl = [k for k in a if a[k].is_floating_point()]
            torch._foreach_lerp_([a[k] for k in fl], [b[k] for k in fl], 1 - keep)
        loss_sum[s] += told
    if step in (400, 401) and d == 'cuda': torch.cuda.synchronize(); print('learned in', time.time() - mark, flush=True)
    step += 1; lines += len(w); loss_n += 1
    if step % 100 == 0 and os.path.exists(out + '/seconds'): seconds = float(open(out + '/seconds').read())   # a new length, set while it runs
    if step % 200 == 0 and follow and os.path.exists(follow) and os.path.getmtime(follow) > followed:
        followed = os.path.getmtime(follow); models[teacher].load_state_dict(torch.load(follow, map_location=d)); mean[teacher].load_state_dict(models[teacher].state_dict())
    if step % 200 == 0 and rank == 0:
        print(f'{time.time()-t0:6.0f}s step {step} lines {lines/1e6:.2f}M pool {sum(pool.size())} {lines/(time.time()-t0):.0f}/s rate {rate:.5f}', {s: round(float(loss_sum[s]) / loss_n, 4) for s in sizes}, flush=True); loss_sum = {s: 0. for s in sizes}; loss_n = 0
    if time.time() - last > 100 and sum(held.size()):
        last = time.time(); print('   held', {s: round(test(mean[s], held)[0], 5) for s in sizes}, flush=True)
        for s in sizes: torch.save(packed(s), f'{out}/{s}.tmp'); os.replace(f'{out}/{s}.tmp', f'{out}/{s}.pt')
for s in sizes if rank == 0 else ():
    torch.save(packed(s), f'{out}/{s}.pt')
    e, bad = test(mean[s], held, 6000); print('END', s, 'held CER', round(e, 5)); bad.sort(reverse=True)
    for v, want, got in bad[len(bad) // 4::max(1, len(bad) // 25)]: print(f'  {v:.2f} | {want} | {got}')
print('END', time.time() - t0, step, lines, pool.size(), flush=True)
