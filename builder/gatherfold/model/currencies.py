"""Currencies by the codes of ISO 4217, and how many decimals their amounts have.

In: what a design writes under ``currency:``.  Out: whether it is a currency, and its minor unit.
Both are those of ISO 4217's List One as published on 2026-01-01; the tests hold its figures.
"""

from fractions import Fraction

from gatherfold.lengths import decimal_number

#: Currencies in circulation; funds, units of account, metals and codes for tests are left out.
_IN_CIRCULATION = """
    AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BHD BIF BMD BND BOB BRL BSD BTN BWP
    BYN BZD CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP
    GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES
    KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU
    MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON
    RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND
    TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VED VES VND VUV WST XAF XCD XCG XOF XPF YER ZAR
    ZMW ZWG
"""
_WITHOUT_DECIMALS = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
_THREE_DECIMALS = "BHD IQD JOD KWD LYD OMR TND"

CODES = frozenset(_IN_CIRCULATION.split())
#: Minor units other than two decimals.
_DECIMALS = dict.fromkeys(_WITHOUT_DECIMALS.split(), 0) | dict.fromkeys(_THREE_DECIMALS.split(), 3)


def looks_like_code(currency: str) -> bool:
    """Whether it is written as a code, and so must be one of ISO 4217."""
    return len(currency) == 3 and currency.isascii() and currency.isupper()


def decimals_of(currency: str) -> int:
    """How many decimals an amount has; a sign, which may stand for several currencies, has two."""
    return _DECIMALS.get(currency, 2)


def money_number(amount: Fraction, currency: str) -> str:
    """``1.20``, ``120``, ``1.200``: to the nearest minor unit, a half going up."""
    return decimal_number(amount, decimals_of(currency), is_padded=True)
