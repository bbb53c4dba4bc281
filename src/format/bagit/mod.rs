//! BagIt, RFC 8493: the only module that knows it. Bytes in, values out.
