//! XMP (ISO 16684-1) with Dublin Core and IPTC: the only module that knows it.
