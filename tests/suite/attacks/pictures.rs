//! Pictures of a letter, cut and damaged: what is read of them is certain only where the whole
//! picture says the same.

use std::io::Cursor;
use std::path::PathBuf;

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings};
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, GrayImage, ImageFormat};
use tiff::encoder::{Compression, TiffEncoder, colortype};
use whomay::model::{Kind, Verdict};
use whomay::patterns::Patterns;
use whomay::read::{Limits, read_bytes};

use super::{Answers, answers, count, progressive, wrong};
use crate::read::{lines, pdf};
use crate::read_damage::{Dice, damaged};

/// Invented. Each clause changes an answer, so whatever is lost changes one.
const LETTER: &[&str] = &[
    "EXPERIMENTAL OPERATING LIMITATIONS",
    "Amateur-built, 14 CFR 21.191(g). Issued May 14, 2008.",
    "",
    "(1) No person may operate this aircraft unless within the preceding 12 calendar",
    "months it has had a condition inspection.",
    "",
    "(2) An experimental aircraft builder certificated as a repairman for this aircraft",
    "under 14 CFR 65.104 may perform the condition inspection required by these",
    "operating limitations.",
    "",
    "(3) An FAA certificated mechanic with airframe and powerplant ratings may perform",
    "the condition inspection.",
    "",
    "(4) A certificated repair station may not perform the condition inspection.",
];

/// A page of the letter as a scanner of 200 dots an inch sees it, without the white below.
fn page() -> GrayImage {
    let page = Pdf::new(pdf(&[&lines(LETTER)], false)).unwrap();
    let scale = 200.0 / 72.0;
    let pixels = hayro::render(
        &page.pages()[0],
        &RenderCache::new(),
        &InterpreterSettings::default(),
        &RenderSettings::default(),
        &PixmapSettings {
            x_scale: scale,
            y_scale: scale,
            bg_color: WHITE,
        },
    );
    let shades = pixels.data().iter().map(|p| p.g).collect();
    let whole = GrayImage::from_raw(pixels.width().into(), pixels.height().into(), shades).unwrap();
    DynamicImage::from(whole)
        .crop_imm(100, 130, 1500, 800)
        .to_luma8()
}

/// A PDF with the picture on its page.
fn on_paper(page: &GrayImage, filter: &str, data: &[u8]) -> Vec<u8> {
    let (w, h) = page.dimensions();
    let mut out = format!(
        "%PDF-1.4\n1 0 obj\n<</Type/Catalog/Pages 2 0 R>>\nendobj\n\
         2 0 obj\n<</Type/Pages/Count 1/Kids[3 0 R]>>\nendobj\n\
         3 0 obj\n<</Type/Page/Parent 2 0 R/MediaBox[0 0 540 288]/Contents 4 0 R\
         /Resources<</XObject<</I 5 0 R>>>>>>\nendobj\n\
         4 0 obj\n<</Length 31>>stream\nq 540 0 0 288 0 0 cm /I Do Q   \nendstream\nendobj\n\
         5 0 obj\n<</Type/XObject/Subtype/Image/Width {w}/Height {h}/BitsPerComponent 8\
         /ColorSpace/DeviceGray/Filter/{filter}/Length {}>>stream\n",
        data.len()
    )
    .into_bytes();
    out.extend_from_slice(data);
    out.extend_from_slice(b"\nendstream\nendobj\n");
    let places: Vec<usize> = (1..=5)
        .map(|n| {
            let head = format!("\n{n} 0 obj\n");
            out.windows(head.len())
                .position(|w| w == head.as_bytes())
                .unwrap()
                + 1
        })
        .collect();
    let table = out.len();
    out.extend(b"xref\n0 6\n0000000000 65535 f \n");
    for place in places {
        out.extend(format!("{place:010} 00000 n \n").bytes());
    }
    out.extend(format!("trailer<</Size 6/Root 1 0 R>>\nstartxref\n{table}\n%%EOF\n").bytes());
    out
}

/// The same page in every kind of picture that is read.
fn pictures() -> Vec<(String, Vec<u8>)> {
    let page = page();
    let (w, h) = page.dimensions();
    let mut all = Vec::new();
    for (name, format) in [
        ("png", ImageFormat::Png),
        ("gif", ImageFormat::Gif),
        ("bmp", ImageFormat::Bmp),
        ("webp", ImageFormat::WebP),
    ] {
        let mut out = Cursor::new(Vec::new());
        let dynamic = DynamicImage::from(page.clone());
        let dynamic = if name == "png" {
            dynamic
        } else {
            dynamic.to_rgba8().into()
        };
        dynamic.write_to(&mut out, format).unwrap();
        all.push((name.to_owned(), out.into_inner()));
    }
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, 80)
        .encode_image(&page)
        .unwrap();
    all.push(("pdf".to_owned(), on_paper(&page, "DCTDecode", &jpeg)));
    all.push(("jpg".to_owned(), jpeg));
    all.push(("jpg".to_owned(), progressive::encoded(&page)));
    let mut packed = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::default());
    std::io::Write::write_all(&mut packed, page.as_raw()).unwrap();
    let packed = packed.finish().unwrap();
    all.push(("pdf".to_owned(), on_paper(&page, "FlateDecode", &packed)));
    for compression in [
        Compression::Uncompressed,
        Compression::Lzw,
        Compression::Deflate(tiff::encoder::DeflateLevel::Balanced),
        Compression::Packbits,
    ] {
        let mut out = Cursor::new(Vec::new());
        TiffEncoder::new(&mut out)
            .unwrap()
            .with_compression(compression)
            .write_image::<colortype::Gray8>(w, h, page.as_raw())
            .unwrap();
        all.push(("tif".to_owned(), out.into_inner()));
    }
    all
}

#[test]
fn a_progressive_picture_without_its_last_scans_is_in_doubt() {
    let page = DynamicImage::from(page())
        .crop_imm(0, 0, 1500, 200)
        .to_luma8();
    let sound = progressive::encoded(&page);
    let seen = image::load_from_memory(&sound).unwrap().to_luma8();
    let off = |(a, b): (&image::Luma<u8>, &image::Luma<u8>)| a.0[0].abs_diff(b.0[0]) > 60;
    let off = seen
        .pixels()
        .zip(page.pixels())
        .filter(|pair| off(*pair))
        .count();
    assert!(off < 100, "{off} dots are not what was written");
    let limits = Limits {
        worker: Some(PathBuf::from(env!("CARGO_BIN_EXE_whomay"))),
        ocr_seconds: 600,
        ..Limits::default()
    };
    let scans = progressive::scans(&sound);
    assert_eq!(scans.len(), 4);
    let end: &[u8] = &[0xff, 0xd9];
    for (bytes, whole) in [
        (sound.clone(), true),
        ([&sound[..scans[3]], end].concat(), false),
        ([&sound[..scans[1]], &sound[scans[2]..]].concat(), false),
    ] {
        let text = read_bytes("a.jpg", bytes, &limits).unwrap();
        assert_eq!(text.notes.iter().all(|n| !n.loses_text()), whole);
    }
}

#[test]
fn damaged_pictures_give_no_other_certain_answer() {
    let patterns = Patterns::embedded().unwrap();
    let limits = Limits {
        worker: Some(PathBuf::from(env!("CARGO_BIN_EXE_whomay"))),
        // other tests run beside this one
        ocr_seconds: 600,
        ..Limits::default()
    };
    let read = |name: &str, bytes| read_bytes(&format!("a.{name}"), bytes, &limits);
    let files = pictures();
    // In the long campaign every kind is read whole, too; the pages are the same.
    let checked = if count(0) > files.len() {
        files.len()
    } else {
        1
    };
    let mut whole: Option<Answers> = None;
    for (name, bytes) in &files[..checked] {
        let text = read(name, bytes.clone()).unwrap();
        let now = answers(text, &patterns);
        assert!(
            wrong(&now, whole.as_ref().unwrap_or(&now)).is_empty(),
            "{name}"
        );
        whole = Some(now);
    }
    let whole = whole.unwrap();
    // An answer that is in doubt before any damage could not go wrong by it.
    for (kind, answer) in [
        (Kind::BuilderRepairman, Verdict::Yes),
        (Kind::Mechanic, Verdict::Yes),
        (Kind::RepairStation, Verdict::No),
    ] {
        let told = whole.iter().find(|((k, _), _)| *k == kind);
        assert_eq!(told.map(|(_, a)| *a), Some(answer), "{kind:?}");
    }
    let first = std::env::var("WHOMAY_FROM").map_or(0, |n| n.parse().unwrap());
    let (mut found, mut certain, mut refused) = (Vec::new(), 0, 0);
    let runs = count(8);
    for copy in first..first + runs {
        let (name, bytes) = &files[copy % files.len()];
        let mut dice = Dice::new(78, copy);
        let bytes = damaged(bytes, &mut dice);
        let Ok(text) = read(name, bytes) else {
            refused += 1;
            continue;
        };
        let now = answers(text, &patterns);
        certain += usize::from(now.values().any(|a| *a != Verdict::Undetermined));
        let wrong = wrong(&whole, &now);
        if !wrong.is_empty() {
            found.push(format!("{name} copy {copy}: {}", wrong.join("; ")));
        }
    }
    println!("pictures: {runs} from {first}, {refused} refused, {certain} with a certain answer");
    assert!(
        found.is_empty(),
        "{} copies\n{}",
        found.len(),
        found.join("\n")
    );
}
