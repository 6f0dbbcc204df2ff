"""What paper, printers, faxes and cameras do to a line, for a whole batch on the GPU."""
import math, torch, torch.nn.functional as F

ROWS = 40   # of a line for the reader; columns are those of a line of 32 rows
def U(B, a, b, d): return (torch.rand(B, 1, 1, 1, device=d) * (b - a) + a)
def P(B, p, d): return (torch.rand(B, 1, 1, 1, device=d) < p).float()

_dct = {}
def jpeg(x, q):
    """8x8 blocks, coefficients rounded to steps that grow with frequency."""
    d = x.device
    if d not in _dct:
        k = torch.arange(8, device=d).float()
        m = torch.cos((2 * k[None] + 1) * k[:, None] * math.pi / 16) * .5; m[0] *= 2 ** -.5
        _dct[d] = (m, 1 + k[:, None] + k[None])
    m, step = _dct[d]
    B, _, h, w = x.shape; H, W = -(-h // 8) * 8, -(-w // 8) * 8
    y = F.pad(x, (0, W - w, 0, H - h), mode='replicate').view(B, H // 8, 8, W // 8, 8).permute(0, 1, 3, 2, 4)
    s = step * q.view(B, 1, 1, 1, 1)
    y = m.T @ (torch.round((m @ y @ m.T) / s) * s) @ m
    return y.permute(0, 1, 3, 2, 4).reshape(B, 1, H, W)[:, :, :h, :w]

def blur(x, sigma):
    k = torch.arange(-3, 4, device=x.device).float(); g = torch.exp(-k * k / (2 * sigma * sigma)); g = g / g.sum()
    x = F.conv2d(F.pad(x, (3, 3, 0, 0), mode='replicate'), g.view(1, 1, 1, 7))
    return F.conv2d(F.pad(x, (0, 0, 3, 3), mode='replicate'), g.view(1, 1, 7, 1))

def smooth(B, h, w, d, gh, gw):
    return F.interpolate(torch.rand(B, 1, max(2, h // gh), max(2, w // gw), device=d), (h, w), mode='bilinear', align_corners=False)

def place(ink, width, rows, hard=1.0):
    """Cut out of the 64-row picture, 48 rows high: margins, slope, bow, slant, perspective, stretch. -> picture, widths"""
    B, _, Hc, W = ink.shape; d = ink.device
    r = lambda a, b: torch.rand(B, device=d) * (b - a) + a
    tight = torch.rand(B, device=d) < .3
    top = torch.where(tight, rows[:, 0].float() - r(0, 6), 15 - r(-1.5, 8)); bottom = torch.where(tight, rows[:, 1].float() + r(0, 6), 49 + r(-1.5, 8))
    need = (24 - (bottom - top)).clamp(min=0); top, bottom = top - need * .6, bottom + need * .4
    hc = bottom - top
    stretch = torch.where(torch.rand(B, device=d) < .6, r(.8, 1.2), torch.ones(B, device=d))
    scale = 48 / hc * stretch
    some = lambda t: torch.where(torch.rand(B, device=d) < .6, t, torch.zeros_like(t))
    left = some(r(-7, 16)); width = width + left + some(r(-7, 16))   # paper before and after
    wo = (width * scale).clamp(max=2496.); scale = wo / width
    Wo = int(math.ceil(wo.max().item() / 48) * 48)
    i = torch.arange(48, device=d).float().view(1, 48, 1); j = torch.arange(Wo, device=d).float().view(1, 1, Wo)
    v = lambda t: t.view(B, 1, 1)
    bent = (torch.rand(B, device=d) < .5).float() * hard
    slant = torch.where(torch.rand(B, device=d) < .3, r(-.15, .25), torch.zeros(B, device=d))
    x = j / v(scale) - v(left) + v(slant) * (i - 28)
    u = x / v(width.float()) - .5
    y = v(top) + v(hc) * (.5 + ((i + .5) / 48 - .5) * (1 + v(bent * r(-.12, .12)) * u)) + v(bent * r(-4, 4)) * u + v(bent * r(-1.5, 1.5)) * torch.sin(u * v(r(1, 9)) + v(r(0, 6)))
    grid = torch.stack([((x + .5) * 2 / W - 1).expand(B, 48, Wo), (y + 0 * x) * 2 / Hc - 1], -1)
    return F.grid_sample(ink, grid, mode='bilinear', padding_mode='zeros', align_corners=False), wo

def weight(ink):
    B, d = ink.shape[0], ink.device
    # needles of a dot-matrix printer: rows and columns of round dots
    i = torch.arange(ink.shape[2], device=d).float().view(1, 1, -1, 1); j = torch.arange(ink.shape[3], device=d).float().view(1, 1, 1, -1)
    pitch = U(B, 2.2, 4.2, d); across = pitch * U(B, .6, 1.1, d)
    dots = (.5 + .5 * torch.cos((i + U(B, 0, 4, d)) * (2 * math.pi) / pitch)) * (.5 + .5 * torch.cos((j + U(B, 0, 4, d)) * (2 * math.pi) / across))
    ink = torch.where(torch.rand(B, 1, 1, 1, device=d) < .04, ink * (dots * U(B, 2.5, 8, d)).clamp(0, 1), ink)
    x = torch.rand(B, 1, 1, 1, device=d)
    fat = F.max_pool2d(ink, 3, 1, 1); thin = -F.max_pool2d(-ink, 3, 1, 1)
    fat = torch.where(torch.rand(B, 1, 1, 1, device=d) < .12, F.max_pool2d(ink, 5, 1, 2), fat)
    return ink + (x < .25).float() * U(B, 0, .9, d) * (fat - ink) + (x > .7).float() * U(B, 0, .6, d) * (thin - ink)

def copied(x, hard=1.0):
    """Ink, 48 rows: a sheet copied two or three times. Each time it lies a little otherwise, the lens is soft, toner is
    uneven, and all is black or white: thin strokes break, or counters fill."""
    B, _, h, w = x.shape; d = x.device
    ink = (blur(x, .9) * x).sum((1, 2, 3), keepdim=True) / x.sum((1, 2, 3), keepdim=True).clamp(min=1)   # thin strokes are paler
    dark = ink * U(B, .34, .82, d)
    for _ in range(2 if torch.rand(1).item() < .4 else 3):
        turn = torch.zeros(B, 2, 3, device=d); one = lambda a: (torch.rand(B, device=d) * 2 - 1) * a
        turn[:, 0, 0], turn[:, 1, 1] = 1 + one(.004), 1 + one(.02)
        turn[:, 0, 2], turn[:, 1, 2], turn[:, 1, 0] = one(1. / w), one(1. / h), one(.03)
        y = F.grid_sample(x, F.affine_grid(turn, x.shape, align_corners=False), mode='bilinear', padding_mode='zeros', align_corners=False)
        y = blur(y, .5 + torch.rand(1).item() * .75) + U(B, .02, .09, d) * torch.randn_like(x)
        y = y + P(B, .5, d) * U(B, 0, .35, d) * (smooth(B, h, w, d, 8, 20) - .5)
        y = ((y - dark - U(B, -.07, .07, d)) * U(B, 2.5, 14, d) + .5).clamp(0, 1)
        n = F.interpolate((torch.rand(B, 1, h // 2, w // 2, device=d) < P(B, .4, d) * U(B, 0, .006, d) * hard).float(), (h, w), mode='nearest')
        x = torch.where(torch.rand(B, 1, 1, 1, device=d) < .9, torch.maximum(y, n), x)
    return x

def degrade(x, hard=1.0):
    """ink 0..1 at 48 rows -> shade 0 (dark) .. 1 (paper), at its own resolution."""
    B, _, h, w = x.shape; d = x.device
    # worn ribbon, thin toner
    n = smooth(B, h, w, d, 6, 12); x = x * (1 - P(B, .2 * hard, d) * U(B, .3, 1, d) * ((n - U(B, .45, .8, d)) * 6).clamp(0, 1))
    n = (torch.rand_like(x) < U(B, 0, .35, d)).float(); x = x * (1 - P(B, .15 * hard, d) * U(B, .3, 1, d) * n)
    n = F.interpolate((torch.rand(B, 1, h // 3, w // 3, device=d) < U(B, 0, .004, d)).float(), (h, w), mode='bilinear'); x = torch.maximum(x, P(B, .3 * hard, d) * n)
    if torch.rand(1).item() < .22: x = copied(x, hard)
    # resolution of the scan
    if torch.rand(1).item() < .7:
        f = 10 ** (torch.rand(1).item() * math.log10(.36)); f = max(f, .36)
        h, w = max(16, round(h * f)), max(16, round(w * f))
        x = F.interpolate(x, (h, w), mode='area')
    if torch.rand(1).item() < .5: x = blur(x, (.35 + torch.rand(1).item() * 1.1) * max(.5, h / 48))
    # stamps, stains, rules
    yy = torch.arange(h, device=d).view(1, 1, h, 1) / h; xx = torch.arange(w, device=d).view(1, 1, 1, w) / h
    for _ in range(2):
        r2 = ((xx - torch.rand(B, 1, 1, 1, device=d) * w / h) / U(B, .05, 1.5, d)) ** 2 + ((yy - U(B, -.2, 1.2, d)) / U(B, .03, .6, d)) ** 2
        x = torch.maximum(x, P(B, .08 * hard, d) * U(B, .1, .6, d) * (r2 < 1).float() * (r2 > U(B, -1.5, .95, d)).float())
    bar = P(B, .05 * hard, d) * ((yy - U(B, 0, 1, d)).abs() < U(B, .01, .03, d)).float() * (xx > U(B, -5, 10, d)).float()
    x = torch.maximum(x, bar * U(B, .4, 1, d))
    # a copy of a copy: each time a little blur, grain, and a cut between black and white that is set anew
    if torch.rand(1).item() < .22:
        for _ in range(1 if torch.rand(1).item() < .6 else 2):
            y = blur(x, (.4 + torch.rand(1).item() * .7) * max(.5, h / 48)) + U(B, .02, .16, d) * torch.randn_like(x)
            y = ((y - U(B, .28, .66, d)) * U(B, 3, 20, d) + .5).clamp(0, 1)
            n = torch.rand_like(x); p = P(B, .5, d) * U(B, 0, .008, d) * hard
            y = torch.where(n < p, torch.ones_like(x), torch.where(n > 1 - p, torch.zeros_like(x), y))
            x = torch.where(torch.rand(B, 1, 1, 1, device=d) < .75, y, x)
    # a fax of half the rows, set back by doubling them
    if torch.rand(1).item() < .13:
        half = F.interpolate(x, (max(12, round(h * (.5 if torch.rand(1).item() < .7 else .65))), w), mode='area')
        half = ((half + U(B, 0, .08, d) * torch.randn_like(half) - U(B, .3, .62, d)) * U(B, 5, 60, d) + .5).clamp(0, 1)
        x = F.interpolate(half, (h, w), mode='nearest' if torch.rand(1).item() < .5 else 'bilinear')
    # shade of paper and ink
    paper, dark = 1 - P(B, .6, d) * U(B, 0, .45, d), P(B, .5, d) * U(B, 0, .45, d)
    light = P(B, .35, d) * (U(B, -.3, .3, d) * (xx * h / w - .5) + U(B, -.15, .15, d) * (yy - .5)) + P(B, .25, d) * .3 * (smooth(B, h, w, d, 16, 48) - .5)
    x = (paper * (1 - x) + dark * paper * x) * (1 + light)
    x = x + P(B, .6, d) * U(B, 0, .13, d) * hard * torch.randn_like(x)
    if torch.rand(1).item() < .4: x = jpeg(x, U(B, .005, .06, d))
    # black and white
    two = P(B, .33, d); cut = paper * (1 + dark) / 2 + U(B, -.22, .2, d) * paper * (1 - dark)
    local = F.avg_pool2d(x, 15, 1, 7, count_include_pad=False); cut = torch.where(torch.rand(B, 1, 1, 1, device=d) < .3, local * U(B, .72, .92, d), cut)
    x = x * (1 - two) + two * (x > cut).float()
    if torch.rand(1).item() < .2: x = two * x + (1 - two) * (.5 + (x - .5) * U(B, .35, 1, d)) * U(B, .6, 1, d)   # a photo in bad light: flat and dark
    # dust, lost rows
    if torch.rand(1).item() < .4:
        k = 2 if torch.rand(1).item() < .4 else 1
        n = F.interpolate(torch.rand(B, 1, -(-h // k), -(-w // k), device=d), (h, w)) if k > 1 else torch.rand_like(x)
        p = P(B, .5, d) * U(B, 0, .03, d) * hard
        x = torch.where(n < p, torch.zeros_like(x), torch.where(n > 1 - p, torch.ones_like(x), x))
    lost = (torch.rand(B, 1, h, 1, device=d) < P(B, .06, d) * U(B, .02, .12, d) * hard).float()
    x = x * (1 - lost) + lost * (torch.rand(B, 1, 1, 1, device=d) < .75).float()
    return x.clamp(0, 1)

def augment(ink, width, rows, chunks=4, hard=1.0):
    """uint8 (B, 64, W), widths, rows -> (B, 1, ROWS, W') in -1..1, widths"""
    x = weight(ink.unsqueeze(1).float() / 255)
    x, wo = place(x, width.float(), rows, hard)
    W = x.shape[3] * 2 // 3
    parts = [F.interpolate(degrade(p, hard), (ROWS, W), mode='bilinear', antialias=True) for p in x.chunk(chunks)]
    return torch.cat(parts) * 2 - 1, wo * 2 / 3
