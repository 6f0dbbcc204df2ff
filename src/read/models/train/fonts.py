"""Takes the fonts of the recipe out of Debian and npm packages.

    python3 fonts.py DEBIAN NPM DATA

DEBIAN is a folder into which the packages named below were unpacked (`dpkg -x`), NPM one with a folder for each
@fontsource package. Writes DATA/fonts/{train,held,hand}/ with the Latin letters of each font, and DATA/fonts.tsv:
role, file, package, version, license, SHA-256 of the file as it is in the package.

Roles: train; held (never in training, only in test lines); hand (handwriting: signatures, filled blanks).
Only fonts under the OFL, Apache-2.0, Bitstream Vera, BSD or MIT license, or in the public domain, are taken.
"""
import glob, hashlib, os, re, subprocess, sys
from fontTools import subset
from fontTools.ttLib import TTFont

CHARS = ''.join(chr(c) for c in range(32, 127)) + '§°–—‘’“”•½¼¾×±©®é'
# package, license, role, pattern of file names
DEBIAN = [
    ('fonts-liberation2', 'OFL-1.1', 'train', r'Liberation.*'),
    ('fonts-dejavu-core', 'Bitstream Vera', 'train', r'DejaVu.*'),
    ('fonts-dejavu-extra', 'Bitstream Vera', 'train', r'DejaVu(SerifCondensed|SansCondensed|Sans-Oblique|Serif-Italic)'),
    ('fonts-courier-prime', 'OFL-1.1', 'train', r'Courier Prime( Bold| Italic| Bold Italic)?'),
    ('fonts-gnutypewriter', 'OFL-1.1', 'train', r'GNUTypewriter'),
    ('fonts-crosextra-caladea', 'OFL-1.1', 'train', r'Caladea-.*'),
    ('fonts-crosextra-carlito', 'OFL-1.1', 'train', r'Carlito-.*'),
    ('fonts-noto-core', 'OFL-1.1', 'train', r'Noto(Sans|Serif)-(Regular|Bold|Italic)'),
    ('fonts-noto-mono', 'OFL-1.1', 'train', r'NotoSansMono-Regular'),
    ('fonts-roboto-unhinted', 'Apache-2.0', 'train', r'Roboto-(Regular|Bold|Light|Italic)|RobotoCondensed-Regular'),
    ('fonts-roboto-slab', 'Apache-2.0', 'train', r'RobotoSlab-Regular'),
    ('fonts-oldstandard', 'OFL-1.1', 'train', r'OldStandard-.*'),
    ('fonts-dotgothic16', 'OFL-1.1', 'train', r'DotGothic16-Regular'),
    ('fonts-cmu', 'OFL-1.1', 'train', r'cmun(rm|bx|ti|ss|tt|tb|it|vt)'),
    ('fonts-ebgaramond', 'OFL-1.1', 'train', r'EBGaramond12-(Regular|Italic)'),
    ('fonts-open-sans', 'Apache-2.0', 'train', r'OpenSans-(Regular|Bold)'),
    ('fonts-inconsolata', 'OFL-1.0', 'train', r'Inconsolata'),
    ('fonts-sil-charis', 'OFL-1.1', 'train', r'CharisSIL-(Regular|Bold)'),
    ('fonts-sil-doulos', 'OFL-1.1', 'train', r'DoulosSIL-Regular'),
    ('fonts-sil-gentiumplus', 'OFL-1.1', 'train', r'GentiumPlus-(Regular|Italic)'),
    ('fonts-sil-andika', 'OFL-1.1', 'train', r'Andika-Regular'),
    ('fonts-lato', 'OFL-1.1', 'train', r'Lato-(Regular|Bold)'),
    ('fonts-comic-neue', 'OFL-1.1', 'train', r'ComicNeue-Regular'),
    ('fonts-jura', 'OFL-1.1', 'train', r'Jura-Medium'),
    ('fonts-prociono', 'public domain', 'train', r'Prociono.*'),
    ('fonts-linuxlibertine', 'OFL-1.1', 'train', r'LinLibertine_R[BI]?|LinBiolinum_R'),
    ('fonts-hack', 'Bitstream Vera, MIT', 'train', r'Hack-Regular'),
    ('fonts-anonymous-pro', 'OFL-1.1', 'train', r'Anonymous Pro( B| I)?'),
    ('fonts-go', 'BSD-3-Clause', 'train', r'Go-(Regular|Bold|Italic|Mono)'),
    ('fonts-quattrocento', 'OFL-1.1', 'train', r'Quattrocento-(Regular|Bold)'),
    ('fonts-routed-gothic', 'OFL-1.1', 'train', r'routed-gothic'),
    ('fonts-3270', 'BSD-3-Clause', 'train', r'3270-Regular'),
    ('fonts-glasstty', 'Unlicense', 'train', r'Glass_TTY_VT220'),
    ('fonts-jetbrains-mono', 'Apache-2.0', 'train', r'JetBrainsMono-Regular'),
    ('fonts-firacode', 'OFL-1.1', 'train', r'FiraCode-Regular'),
    ('fonts-clear-sans', 'Apache-2.0', 'train', r'ClearSans-(Regular|Bold)'),
    ('fonts-karla', 'OFL-1.1', 'train', r'Karla-Regular'),
    ('fonts-stix', 'OFL-1.1', 'train', r'STIX-(Regular|Bold|Italic)|STIXTwoText-Regular'),
    ('fonts-ocr-b', 'public domain', 'train', r'OCRB'),
    ('fonts-compagnon', 'OFL-1.1', 'held', r'Compagnon-(Roman|Medium)'),
    ('fonts-vollkorn', 'OFL-1.1', 'held', r'Vollkorn-Regular'),
    ('fonts-cabin', 'OFL-1.1', 'held', r'Cabin-Regular'),
    ('fonts-b612', 'OFL-1.1', 'held', r'B612-Regular|B612Mono-Regular'),
    ('fonts-cardo', 'OFL-1.1', 'held', r'Cardo(104s)?'),
    ('fonts-kristi', 'OFL-1.1', 'hand', r'Kristi.*'),
    ('fonts-dancingscript', 'OFL-1.1', 'hand', r'DancingScript-?(Regular)?'),
    ('fonts-dkg-handwriting', 'OFL-1.1', 'hand', r'dkg.*'),
    ('fonts-breip', 'OFL-1.0', 'hand', r'[Bb]reip'),
    ('fonts-bwht', 'OFL-1.1', 'hand', r'BecauseWe(Connect|Create|Learn|Mentor|Organize)-Regular'),
]
NPM = [
    ('special-elite', 'Apache-2.0', 'train', '400-normal'), ('libre-baskerville', 'OFL-1.1', 'train', '400-normal|400-italic|700-normal'),
    ('ibm-plex-mono', 'OFL-1.1', 'train', '400-normal|400-italic|700-normal'), ('source-serif-4', 'OFL-1.1', 'train', '400-normal|400-italic|700-normal'),
    ('source-sans-3', 'OFL-1.1', 'train', '400-normal|700-normal'), ('cutive', 'OFL-1.1', 'train', '400-normal'), ('vt323', 'OFL-1.1', 'train', '400-normal'),
    ('zilla-slab', 'OFL-1.1', 'train', '400-normal|700-normal'), ('rokkitt', 'OFL-1.1', 'train', '400-normal'), ('crimson-text', 'OFL-1.1', 'train', '400-normal|400-italic'),
    ('share-tech-mono', 'OFL-1.1', 'train', '400-normal'), ('nova-mono', 'OFL-1.1', 'train', '400-normal'), ('arimo', 'Apache-2.0', 'train', '400-normal'),
    ('dm-mono', 'OFL-1.1', 'train', '400-normal'), ('space-mono', 'OFL-1.1', 'train', '400-normal'), ('pt-mono', 'OFL-1.1', 'train', '400-normal'),
    ('victor-mono', 'OFL-1.1', 'train', '400-normal'), ('overpass-mono', 'OFL-1.1', 'train', '400-normal'), ('source-code-pro', 'OFL-1.1', 'train', '400-normal'),
    ('nixie-one', 'OFL-1.1', 'train', '400-normal'), ('josefin-slab', 'OFL-1.1', 'train', '400-normal'), ('bodoni-moda', 'OFL-1.1', 'train', '400-normal'), ('gfs-didot', 'OFL-1.1', 'train', '400-normal'),
    ('cutive-mono', 'OFL-1.1', 'held', '400-normal'), ('pt-serif', 'OFL-1.1', 'held', '400-normal|400-italic'),
    ('kalam', 'OFL-1.1', 'hand', '400-normal'), ('homemade-apple', 'Apache-2.0', 'hand', '400-normal'), ('cedarville-cursive', 'OFL-1.1', 'hand', '400-normal'),
    ('reenie-beanie', 'OFL-1.1', 'hand', '400-normal'), ('caveat', 'OFL-1.1', 'hand', '400-normal'), ('herr-von-muellerhoff', 'OFL-1.1', 'hand', '400-normal'),
    ('mrs-saint-delafield', 'OFL-1.1', 'hand', '400-normal'),
]

def small(file, to):
    options = subset.Options(); options.layout_features = []; options.hinting = False; options.notdef_outline = True; options.drop_tables += ['GSUB', 'GPOS', 'GDEF', 'kern', 'FFTM', 'MATH', 'BASE', 'JSTF', 'DSIG']
    font = TTFont(file, fontNumber=0); font.flavor = None
    work = subset.Subsetter(options); work.populate(text=CHARS); work.subset(font); font.save(to)

if __name__ == '__main__':
    debian, npm, data = sys.argv[1:4]; rows = []
    versions = dict(re.match(r'([^_]+)_([^_]+)_', os.path.basename(f)).groups() for f in glob.glob(f'{debian}/../debs/*.deb'))
    jobs = []
    for package, license, role, pattern in DEBIAN:
        names = subprocess.run(['dpkg', '-c', glob.glob(f'{debian}/../debs/{package}_*.deb')[0]], capture_output=True, text=True).stdout
        seen = set()
        for path in re.findall(r' \.(/usr/share/fonts/.+\.(?:ttf|otf))$', names, re.M):
            name = os.path.splitext(os.path.basename(path))[0]
            if re.fullmatch(pattern, name) and name not in seen: seen.add(name); jobs.append((debian + path, package, versions[package], license, role))
        if not seen: print('nothing of', package, sorted(re.findall(r'/([^/]+\.[ot]tf)', names))[:8])
    for package, license, role, pattern in NPM:
        version = re.search(r'-([\d.]+)\.tgz', glob.glob(f'{npm}/fontsource-{package}-[0-9]*.tgz')[0]).group(1)
        for f in sorted(glob.glob(f'{npm}/{package}/package/files/{package}-latin-*.woff')):
            if re.search(f'latin-({pattern})\\.woff$', f): jobs.append((f, '@fontsource/' + package, version, license, role))
    for file, package, version, license, role in jobs:
        os.makedirs(f'{data}/fonts/{role}', exist_ok=True)
        name = os.path.splitext(os.path.basename(file))[0]; kind = '.otf' if file.endswith('.otf') else '.ttf'
        try: small(file, f'{data}/fonts/{role}/{name}{kind}')
        except Exception as e: print('left out', file, e); continue
        rows.append((role, name + kind, package, version, license, hashlib.sha256(open(file, 'rb').read()).hexdigest()))
    rows.sort(); open(f'{data}/fonts.tsv', 'w').write('role\tfile\tpackage\tversion\tlicense\tsha256\n' + ''.join('\t'.join(r) + '\n' for r in rows))
    print({r: sum(x[0] == r for x in rows) for r in ('train', 'held', 'hand')})
