/* bcryptprimitives.dll for a Wine that has none: the one function that Rust programs draw random bits from. */
#include <windows.h>

BOOLEAN NTAPI SystemFunction036(PVOID buffer, ULONG length);

__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE buffer, SIZE_T length) {
    return SystemFunction036(buffer, (ULONG)length);
}
