//! Elements of XML, one after the other.

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};
use std::io::{self, Write};

/// The XML declaration, on a line of its own.
pub(crate) fn declaration<W: Write>(xml: &mut Writer<W>) -> io::Result<()> {
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    line_feed(xml)
}

/// An element with a text in it.
pub(crate) fn element<W: Write>(xml: &mut Writer<W>, tag: &str, text: &str) -> io::Result<()> {
    open(xml, tag)?;
    xml.write_event(Event::Text(BytesText::new(text)))?;
    close(xml, tag)
}

/// The same on a line of its own.
pub(crate) fn element_line<W: Write>(xml: &mut Writer<W>, tag: &str, text: &str) -> io::Result<()> {
    element(xml, tag, text)?;
    line_feed(xml)
}

/// The beginning of an element with attributes.
pub(crate) fn open_with<W: Write>(
    xml: &mut Writer<W>,
    tag: &str,
    attributes: &[(&str, &str)],
) -> io::Result<()> {
    let start = BytesStart::new(tag).with_attributes(attributes.iter().copied());
    xml.write_event(Event::Start(start))
}

/// The beginning of an element.
pub(crate) fn open<W: Write>(xml: &mut Writer<W>, tag: &str) -> io::Result<()> {
    xml.write_event(Event::Start(BytesStart::new(tag)))
}

/// The same on a line of its own.
pub(crate) fn open_line<W: Write>(xml: &mut Writer<W>, tag: &str) -> io::Result<()> {
    open(xml, tag)?;
    line_feed(xml)
}

/// The end of an element.
pub(crate) fn close<W: Write>(xml: &mut Writer<W>, tag: &str) -> io::Result<()> {
    xml.write_event(Event::End(BytesEnd::new(tag)))
}

/// The same on a line of its own.
pub(crate) fn close_line<W: Write>(xml: &mut Writer<W>, tag: &str) -> io::Result<()> {
    close(xml, tag)?;
    line_feed(xml)
}

/// The end of a line.
pub(crate) fn line_feed<W: Write>(xml: &mut Writer<W>) -> io::Result<()> {
    xml.get_mut().write_all(b"\n")
}
