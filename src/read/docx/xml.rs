//! The elements of an XML part, one after the other, by their local names.
//!
//! Only the five entities of XML and character references are resolved; a part that declares
//! entities of its own gets nothing from them, so that it cannot blow up.

use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};

/// What is met on the way through a part.
#[derive(Debug)]
pub(super) enum Node<'a> {
    /// An element begins; an empty one ends at once.
    Open(&'a str, &'a Attributes),
    /// An element ends.
    Close(&'a str),
    /// Characters.
    Text(&'a str),
}

/// The attributes of an element by their local names.
#[derive(Debug, Default)]
pub(super) struct Attributes(Vec<(String, String)>);

impl Attributes {
    fn of(element: &BytesStart<'_>) -> Self {
        let read = |a: quick_xml::events::attributes::Attribute<'_>| {
            let name = String::from_utf8_lossy(a.key.local_name().into_inner()).into_owned();
            let value = a
                .normalized_value(XmlVersion::Implicit1_0)
                .map_or_else(|_| String::new(), std::borrow::Cow::into_owned);
            (name, value)
        };
        Self(
            element
                .attributes()
                .with_checks(false)
                .flatten()
                .take(64)
                .map(read)
                .collect(),
        )
    }

    /// The value of an attribute.
    pub(super) fn get(&self, name: &str) -> Option<&str> {
        self.0
            .iter()
            .find(|(n, _)| n == name)
            .map(|(_, value)| value.as_str())
    }

    /// `val`, the attribute that most properties have.
    pub(super) fn val(&self) -> Option<&str> {
        self.get("val")
    }

    /// Whether a property that can be on or off is on; it is where nothing says otherwise.
    pub(super) fn on(&self) -> bool {
        !matches!(self.val(), Some("0" | "false" | "off" | "none"))
    }
}

/// Characters of a part: UTF-8, or UTF-16 with its mark.
pub(super) fn decode(bytes: &[u8]) -> String {
    let (text, _, _) = encoding_rs::UTF_8.decode(bytes);
    text.into_owned()
}

/// Walks through a part; false where it is damaged, after everything before the damage.
pub(super) fn walk(part: &str, each: &mut dyn FnMut(Node<'_>)) -> bool {
    let mut reader = Reader::from_str(part);
    reader.config_mut().check_end_names = false;
    let mut open = 0_i64;
    loop {
        match reader.read_event() {
            Ok(Event::Start(e)) => {
                open += 1;
                let name = local(e.local_name().into_inner());
                each(Node::Open(&name, &Attributes::of(&e)));
            }
            Ok(Event::Empty(e)) => {
                let name = local(e.local_name().into_inner());
                each(Node::Open(&name, &Attributes::of(&e)));
                each(Node::Close(&name));
            }
            Ok(Event::End(e)) => {
                open -= 1;
                each(Node::Close(&local(e.local_name().into_inner())));
            }
            Ok(Event::Text(t)) => {
                each(Node::Text(&t.decode().unwrap_or_default()));
            }
            Ok(Event::CData(t)) => {
                each(Node::Text(&t.decode().unwrap_or_default()));
            }
            Ok(Event::GeneralRef(r)) => {
                let character = match r.resolve_char_ref() {
                    Ok(Some(c)) => Some(c),
                    _ => match r.decode().as_deref() {
                        Ok("lt") => Some('<'),
                        Ok("gt") => Some('>'),
                        Ok("amp") => Some('&'),
                        Ok("quot") => Some('"'),
                        Ok("apos") => Some('\''),
                        _ => None,
                    },
                };
                let mut buffer = [0; 4];
                let shown = character.unwrap_or('\u{fffd}').encode_utf8(&mut buffer);
                each(Node::Text(shown));
            }
            Ok(Event::Eof) => return open == 0,
            Ok(Event::Decl(_) | Event::PI(_) | Event::DocType(_) | Event::Comment(_)) => {}
            Err(_) => return false,
        }
    }
}

fn local(name: &[u8]) -> String {
    String::from_utf8_lossy(name).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(part: &str) -> (String, bool) {
        let mut out = String::new();
        let whole = walk(part, &mut |node| match node {
            Node::Text(t) => out.push_str(t),
            Node::Open(name, a) => out.push_str(&format!("<{name}{}>", a.val().unwrap_or(""))),
            Node::Close(_) => {}
        });
        (out, whole)
    }

    #[test]
    fn entities_of_a_part_are_not_expanded() {
        let (words, whole) = text(
            "<!DOCTYPE a [<!ENTITY b \"boom\">]><w:a w:val=\"1&amp;2\">x &amp; &#167; &b;</w:a>",
        );
        assert_eq!(words, "<a1&2>x & § \u{fffd}");
        assert!(whole);
    }

    #[test]
    fn a_damaged_part_gives_what_stands_before_the_damage() {
        assert_eq!(text("<a>may<b").0, "<a>may");
        assert!(!text("<a>may<b").1);
        assert!(!text("<a>may").1);
    }
}
