/* The one function of Windows' library of this name that Rust's standard library calls. */
#include <windows.h>

BOOLEAN WINAPI SystemFunction036(PVOID bytes, ULONG count);

__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE bytes, SIZE_T count) {
    return SystemFunction036(bytes, (ULONG)count);
}
