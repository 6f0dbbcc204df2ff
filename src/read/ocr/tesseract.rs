//! The second engine: a `tesseract` executable that the user has installed.

use std::io::{Read, Write};
use std::path::PathBuf;
use std::process::{Command, Stdio};

use image::GrayImage;

use super::page::{Eye, Lines, surely_read, sureness};
use super::patch::{Patch, Word};

/// A word that is surer than this stands upright.
const UPRIGHT: f32 = 0.6;
/// Bytes of a table of words; a page of paper has a hundredth of it.
const TABLE: u64 = 16 << 20;

/// The executable.
#[derive(Clone, Debug)]
pub(super) struct Tesseract {
    path: PathBuf,
}

impl Tesseract {
    /// The executable on the search path; `None` where there is none.
    pub(super) fn find() -> Option<Self> {
        let name = format!("tesseract{}", std::env::consts::EXE_SUFFIX);
        std::env::split_paths(&std::env::var_os("PATH")?)
            .map(|folder| folder.join(&name))
            .find(|path| path.is_file())
            .map(|path| Self { path })
    }

    /// Its table of words; `None` where it does not run.
    fn table(&self, picture: &GrayImage, dpi: f32) -> Option<String> {
        let mut child = Command::new(&self.path)
            .args(["-", "-", "-l", "eng", "--psm", "3", "--dpi"])
            .arg(format!("{:.0}", dpi.clamp(70.0, 1200.0)))
            .arg("tsv")
            // pages are read side by side
            .env("OMP_THREAD_LIMIT", "1")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .ok()?;
        let (mut input, output) = (child.stdin.take()?, child.stdout.take()?);
        let head = format!("P5 {} {} 255\n", picture.width(), picture.height());
        let mut table = String::new();
        std::thread::scope(|scope| {
            scope.spawn(move || {
                // an executable that does not listen says so by what it prints
                let _ = input
                    .write_all(head.as_bytes())
                    .and_then(|()| input.write_all(picture.as_raw()));
            });
            let _ = output.take(TABLE).read_to_string(&mut table);
        });
        child.wait().ok()?.success().then_some(table)
    }
}

impl Eye for Tesseract {
    fn lines(&self, picture: &mut GrayImage, dpi: f32) -> Lines {
        let lines = self
            .table(picture, dpi)
            .map(|t| parse(&t))
            .unwrap_or_default();
        if sureness(&lines) >= UPRIGHT {
            return level(lines);
        }
        let mut turned = picture.clone();
        image::imageops::rotate180_in_place(&mut turned);
        let other = self
            .table(&turned, dpi)
            .map(|t| parse(&t))
            .unwrap_or_default();
        if surely_read(&other) <= surely_read(&lines) {
            return level(lines);
        }
        *picture = turned;
        level(other)
    }
}

fn level(lines: Vec<(Patch, Vec<Word>)>) -> Lines {
    Lines {
        lines,
        ..Lines::default()
    }
}

/// The lines of a table of words: level, page, block, paragraph, line, word, left, top, width,
/// height, confidence in per cent, text.
fn parse(table: &str) -> Vec<(Patch, Vec<Word>)> {
    let mut lines: Vec<(Patch, Vec<Word>)> = Vec::new();
    let mut last = None;
    for row in table.lines() {
        let cells: Vec<&str> = row.split('\t').collect();
        let &[
            "5",
            _,
            block,
            paragraph,
            line,
            _,
            left,
            top,
            width,
            height,
            confidence,
            text,
        ] = &cells[..]
        else {
            continue;
        };
        let numbers: Vec<f32> = [left, top, width, height, confidence]
            .iter()
            .filter_map(|n| n.parse().ok())
            .collect();
        let [left, top, width, height, confidence] = numbers[..] else {
            continue;
        };
        if text.trim().is_empty() {
            continue;
        }
        let place = Patch {
            left,
            top,
            right: left + width,
            bottom: top + height,
            base: top + height / 2.0,
            slope: 0.0,
        };
        let word = Word {
            text: text.to_owned(),
            left: place.left,
            right: place.right,
            confidence: confidence / 100.0,
            posterior: None,
        };
        let here = Some((block, paragraph, line));
        match lines.last_mut() {
            Some((patch, words)) if here == last => {
                *patch = patch.with(&place);
                words.push(word);
            }
            _ => lines.push((place, vec![word])),
        }
        last = here;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_one_line_come_together() {
        let table = "level\tpage_num\tblock_num\tpar_num\tline_num\tword_num\tleft\ttop\twidth\theight\tconf\ttext\n\
                     1\t1\t0\t0\t0\t0\t0\t0\t1000\t1000\t-1\t\n\
                     5\t1\t1\t1\t1\t1\t100\t50\t30\t20\t96.1\t(26)\n\
                     5\t1\t1\t1\t1\t2\t140\t52\t40\t18\t91\tNo\n\
                     5\t1\t1\t1\t2\t1\t100\t80\t90\t20\t88.5\tperson\n\
                     5\t1\t1\t1\t2\t2\t200\t80\t90\t20\t95\t \n\
                     5\t1\tbroken\n";
        let lines = parse(table);
        let words: Vec<Vec<&str>> = lines
            .iter()
            .map(|(_, words)| words.iter().map(|w| w.text.as_str()).collect())
            .collect();
        assert_eq!(words, [vec!["(26)", "No"], vec!["person"]]);
        let (patch, words) = &lines[0];
        assert_eq!(
            (patch.left, patch.right, patch.top, patch.bottom),
            (100.0, 180.0, 50.0, 70.0)
        );
        assert!((words[1].confidence - 0.91).abs() < 1e-6);
    }
}
