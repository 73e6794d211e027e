// Package einvoice writes and reads electronic invoices after EN 16931: it writes UBL 2.1 (Invoice and CreditNote),
// reads UBL and UN/CEFACT CII (D16B), and holds an invoice against the rules of the standard by their names, such as
// BR-CO-15.
//
// An Invoice goes in and XML comes out, and back. Amounts are exact decimals in the invoice's currency; days are ISO
// 8601. It refuses what is no XML, what is neither of the two syntaxes, and amounts that cannot be read. It decides
// nothing about tax: category and exemption are given.
//
// Read first: Invoice, Check, WriteUBL, Read.
package einvoice
